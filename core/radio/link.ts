import { z } from 'zod'
import { firstIssue, PilotError } from '../errors'
import { wavelengthM } from '../propagation/freeSpace'
import { formatNumber } from '../words/units'
import { say } from '../words/say'
import { helixAt, POLARISATIONS, type Aim, type Antenna } from './antenna'

/** One antenna at the ground station with its own cable. */
export interface Branch {
  readonly antenna: Antenna
  readonly aim: Aim
  readonly feederLossDb: number
}

/** A radio link between the ground station and the aircraft. */
export interface Link {
  readonly name: string
  /** The video link comes down from the aircraft, the control link goes up to it. */
  readonly direction: 'down' | 'up'
  readonly frequencyMhz: number
  /** At the transmitter's socket. */
  readonly powerDbm: number
  /** The receiver with several takes the best at every moment. */
  readonly branches: readonly Branch[]
  readonly aircraft: { readonly antenna: Antenna; readonly feederLossDb: number }
  /** Pilot, battery and frame in the way. */
  readonly bodyLossDb: number
  /** Level at which the picture or the control just holds. */
  readonly sensitivityDbm: number
  /** Margin wanted above that, for what the model does not know. */
  readonly fadeMarginDb: number
  /** What flights lost beyond what was computed, dB; below zero where they lost less. */
  readonly excessLossDb: number
  /** Scatter of measured levels around computed ones, dB (one standard deviation); null where never compared. */
  readonly spreadDb: number | null
}

export const mwFromDbm = (dbm: number) => 10 ** (dbm / 10)
export const dbmFromMw = (mw: number) => 10 * Math.log10(mw)

/** Values a field or a file may hold. Outside them something was mistyped. */
export const LIMITS = {
  frequencyMhz: [400, 6000],
  powerDbm: [-10, 50],
  gainDbi: [-10, 40],
  beamwidthDeg: [2, 170],
  turns: [1, 60],
  lossDb: [0, 60],
  sensitivityDbm: [-140, -20],
  fadeMarginDb: [0, 40],
  excessLossDb: [-30, 60],
  spreadDb: [0, 40],
  lengthM: [0.001, 5],
  tiltDeg: [-90, 90],
} as const

const within = ([least, most]: readonly [number, number], unit: string) =>
  z
    .number()
    .min(least, { error: () => say('link.mustMore', { least, unit }) })
    .max(most, { error: () => say('link.mustLess', { most, unit }) })

const polarisation = z.enum(POLARISATIONS as unknown as [string, ...string[]])
const gain = within(LIMITS.gainDbi, 'dBi')
const width = within(LIMITS.beamwidthDeg, 'degrees')
const loss = within(LIMITS.lossDb, 'dB').default(0)

const antenna = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('isotropic'), polarisation }),
  z.strictObject({ kind: z.literal('dipole'), polarisation }),
  z.strictObject({ kind: z.literal('patch'), polarisation, gain_dbi: gain, beamwidth_deg: width }),
  z.strictObject({
    kind: z.literal('helix'),
    polarisation,
    turns: within(LIMITS.turns, 'turns'),
    circumference_m: within(LIMITS.lengthM, 'm'),
    pitch_m: within(LIMITS.lengthM, 'm'),
  }),
  z.strictObject({ kind: z.literal('beam'), polarisation, gain_dbi: gain, beamwidth_deg: width }),
])

/** A link as it stands in a file. */
export const linkSchema = z.strictObject({
  name: z.string().min(1),
  direction: z.enum(['down', 'up']),
  frequency_mhz: within(LIMITS.frequencyMhz, 'MHz'),
  power_dbm: within(LIMITS.powerDbm, 'dBm').optional(),
  power_mw: z
    .number()
    .positive({ error: () => say('link.mustBeAbove0Mw') })
    .max(100_000)
    .optional(),
  ground: z
    .array(
      z.strictObject({
        antenna,
        azimuth_deg: z.number().min(-360).max(360).default(0),
        tilt_deg: within(LIMITS.tiltDeg, 'degrees').default(0),
        feeder_loss_db: loss,
      }),
    )
    .min(1, { error: () => say('link.needsOneAntenna') }),
  aircraft: z.strictObject({ antenna, feeder_loss_db: loss }),
  body_loss_db: loss,
  sensitivity_dbm: within(LIMITS.sensitivityDbm, 'dBm'),
  fade_margin_db: within(LIMITS.fadeMarginDb, 'dB').default(6),
  excess_loss_db: within(LIMITS.excessLossDb, 'dB').default(0),
  spread_db: within(LIMITS.spreadDb, 'dB').nullable().default(null),
})

export type LinkFile = z.input<typeof linkSchema>
type AntennaFile = z.output<typeof antenna>

/** Reads a link from its file. Throws a PilotError that names the file and the field. */
export function readLink(text: string, fileName: string): Link {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch (cause) {
    throw new PilotError(say('link.cannotReadJsonSave', { fileName }), { cause })
  }
  const parsed = linkSchema.safeParse(json)
  if (!parsed.success) {
    throw new PilotError(say('link.noLinkCanUsed', { fileName, error: firstIssue(parsed.error) }))
  }
  return linkOf(parsed.data, fileName)
}

/** The link that a file, or a part of one, describes. */
export function linkOf(data: z.output<typeof linkSchema>, fileName: string): Link {
  if ((data.power_dbm === undefined) === (data.power_mw === undefined)) {
    throw new PilotError(say('link.mustGivePowerOnce', { fileName }))
  }
  return {
    name: data.name,
    direction: data.direction,
    frequencyMhz: data.frequency_mhz,
    powerDbm: data.power_dbm ?? dbmFromMw(data.power_mw ?? NaN),
    branches: data.ground.map((branch) => ({
      antenna: antennaOf(branch.antenna),
      aim: { azimuthDeg: branch.azimuth_deg, tiltDeg: branch.tilt_deg },
      feederLossDb: branch.feeder_loss_db,
    })),
    aircraft: {
      antenna: antennaOf(data.aircraft.antenna),
      feederLossDb: data.aircraft.feeder_loss_db,
    },
    bodyLossDb: data.body_loss_db,
    sensitivityDbm: data.sensitivity_dbm,
    fadeMarginDb: data.fade_margin_db,
    excessLossDb: data.excess_loss_db,
    spreadDb: data.spread_db,
  }
}

/** A link as its file. */
export function writeLink(link: Link): string {
  return `${JSON.stringify(linkFile(link), null, 2)}\n`
}

/** A link as the content of its file. */
export function linkFile(link: Link): LinkFile {
  return {
    name: link.name,
    direction: link.direction,
    frequency_mhz: link.frequencyMhz,
    power_dbm: link.powerDbm,
    ground: link.branches.map(({ antenna: its, aim, feederLossDb }) => ({
      antenna: antennaFile(its),
      azimuth_deg: aim.azimuthDeg,
      tilt_deg: aim.tiltDeg,
      feeder_loss_db: feederLossDb,
    })),
    aircraft: {
      antenna: antennaFile(link.aircraft.antenna),
      feeder_loss_db: link.aircraft.feederLossDb,
    },
    body_loss_db: link.bodyLossDb,
    sensitivity_dbm: link.sensitivityDbm,
    fade_margin_db: link.fadeMarginDb,
    // Links that no flight was compared with are read by older versions too.
    ...(link.excessLossDb === 0 ? {} : { excess_loss_db: link.excessLossDb }),
    ...(link.spreadDb === null ? {} : { spread_db: link.spreadDb }),
  }
}

function antennaOf(file: AntennaFile): Antenna {
  const polarised = { polarisation: file.polarisation as Antenna['polarisation'] }
  switch (file.kind) {
    case 'isotropic':
    case 'dipole':
      return { kind: file.kind, ...polarised }
    case 'patch':
    case 'beam':
      return {
        kind: file.kind,
        ...polarised,
        gainDbi: file.gain_dbi,
        beamwidthDeg: file.beamwidth_deg,
      }
    case 'helix':
      return {
        kind: 'helix',
        ...polarised,
        turns: file.turns,
        circumferenceM: file.circumference_m,
        pitchM: file.pitch_m,
      }
  }
}

function antennaFile(antenna: Antenna): AntennaFile {
  const { polarisation } = antenna
  switch (antenna.kind) {
    case 'isotropic':
    case 'dipole':
      return { kind: antenna.kind, polarisation }
    case 'patch':
    case 'beam':
      return {
        kind: antenna.kind,
        polarisation,
        gain_dbi: antenna.gainDbi,
        beamwidth_deg: antenna.beamwidthDeg,
      }
    case 'helix':
      return {
        kind: 'helix',
        polarisation,
        turns: antenna.turns,
        circumference_m: antenna.circumferenceM,
        pitch_m: antenna.pitchM,
      }
  }
}

/** What about a link deserves a word though it can be computed. */
export function linkWarnings(link: Link): string[] {
  const lambda = wavelengthM(link.frequencyMhz)
  const antennas = [...link.branches.map((branch) => branch.antenna), link.aircraft.antenna]
  return antennas.flatMap((its) => {
    if (its.kind !== 'helix') return []
    const { circumference, pitchAngleDeg, isAxialMode } = helixAt(its, lambda)
    if (!isAxialMode) {
      return [
        say('link.helixWavelengthsAroundTurns', {
          circumference: formatNumber(circumference, 2),
          turns: its.turns,
          frequencyMhz: link.frequencyMhz,
        }),
      ]
    }
    return pitchAngleDeg < 11 || pitchAngleDeg > 15
      ? [say('link.helixWoundDegreesLies', { pitchAngleDeg: formatNumber(pitchAngleDeg, 1) })]
      : []
  })
}
