/** What the pilot puts into the field brief besides what the plan says. */
export interface BriefSetup {
  /** Heading; empty for the name of the plan's file. */
  readonly title: string
  /** To be ticked off before the flight, in this order. */
  readonly checklist: readonly string[]
  readonly notes: string
}

/** More or longer items would not be read in the field. */
export const BRIEF_LIMITS = { items: 60, itemLength: 300, titleLength: 120, notesLength: 4000 }

/** Common practice, no source. */
export const USUAL_CHECKLIST: readonly string[] = [
  'Weather, wind aloft and daylight fit this plan',
  'Airspace, permission and local law checked for today',
  'Somebody knows where I am and when I will be back',
  'Wires, cables and people looked for on the spot',
  'Packs full and warm, lowest cell noted',
  'Antennas on before power; propellers, plugs and straps tight',
  'Video channel free, nobody else on it',
  'Ground antennas at azimuth and tilt of this brief',
  'Home point set, return height over all ground on the way back',
  'Failsafe tried on the ground',
  'Picture and control good at low height before going out',
  'Turn-by figures and landing areas read aloud',
]

export const USUAL_BRIEF: BriefSetup = { title: '', checklist: USUAL_CHECKLIST, notes: '' }
