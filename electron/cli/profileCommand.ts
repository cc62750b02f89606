import { say } from '../../core/words/say'
import { pathProfile, type PathProfile, type RadioSettings } from '../../core/propagation/path'
import type { LatLon } from '../../core/geodesy/earth'
import { freeSpaceLossDb } from '../../core/propagation/freeSpace'
import type { Budget } from '../../core/radio/budget'
import { linkWarnings, type Link } from '../../core/radio/link'
import { geometryOfPath, pathBudget, pathLosses, type Foliage } from '../../core/radio/pathBudget'
import { readLinkFile } from './linkFile'
import { readSurface, type SurfaceOptions } from './surface'
import { readTerrain, type TerrainOptions } from './terrain'

export interface ProfileOptions extends TerrainOptions, SurfaceOptions {
  readonly from: LatLon
  readonly fromHeight: number
  readonly to: LatLon
  readonly toHeight: number
  readonly radio: RadioSettings
  /** Path of a link file. */
  readonly link?: string
  readonly foliage?: Foliage
  readonly json: boolean
}

/** The `profile` command: returns what it prints. */
export async function profileCommand(options: ProfileOptions): Promise<string> {
  const terrain = await readTerrain(options)
  const profile = pathProfile(
    terrain,
    { ...options.from, label: 'launch point', heightM: options.fromHeight },
    { ...options.to, label: 'target', heightM: options.toHeight },
    options.radio,
    await readSurface(terrain, options),
  )
  const link = options.link ? await readLinkFile(options.link) : null
  const results = radioResults(profile, options, link)
  return options.json
    ? JSON.stringify(profileJson(profile, options.radio, results))
    : profileText(profile, options.radio, results)
}

/** Losses and, with a link, its budget. */
interface RadioResults {
  readonly freeSpaceDb: number
  readonly diffractionDb: number
  readonly foliageDb: number
  readonly link: { readonly link: Link; readonly budget: Budget } | null
}

function radioResults(
  profile: PathProfile,
  { radio, foliage = 'solid' }: ProfileOptions,
  link: Link | null,
): RadioResults {
  const frequencyMhz = link?.frequencyMhz ?? radio.frequencyMhz
  const polarisation = link?.branches[0].antenna.polarisation ?? 'horizontal'
  const losses = pathLosses(profile, frequencyMhz, radio.kFactor, polarisation, foliage)
  const { slantM } = geometryOfPath(profile, radio.kFactor)
  return {
    freeSpaceDb: freeSpaceLossDb(slantM, frequencyMhz),
    diffractionDb: losses.diffraction.totalDb,
    foliageDb: losses.foliageDb,
    link: link && { link, budget: pathBudget(profile, link, radio.kFactor, foliage) },
  }
}

function linkJson({ link, budget }: { link: Link; budget: Budget }): object {
  return {
    name: link.name,
    direction: link.direction,
    frequency_mhz: link.frequencyMhz,
    power_dbm: budget.powerDbm,
    eirp_dbm: budget.eirpDbm,
    items: budget.items.map(({ label, db }) => ({ what: say(label), db })),
    received_dbm: budget.receivedDbm,
    sensitivity_dbm: link.sensitivityDbm,
    margin_db: budget.marginDb,
    fade_margin_db: link.fadeMarginDb,
    best_ground_antenna: budget.branch + 1,
    warnings: linkWarnings(link),
  }
}

function profileJson(profile: PathProfile, radio: RadioSettings, results: RadioResults): object {
  const { samples, worstClearance, worstFresnel } = profile
  return {
    distance_m: profile.distanceM,
    bearing_deg: profile.bearingDeg,
    k_factor: radio.kFactor,
    frequency_mhz: radio.frequencyMhz,
    from: endJson(profile.from),
    to: endJson(profile.to),
    line_of_sight: {
      clear: profile.inSight,
      min_clearance_m: worstClearance?.value ?? null,
      at_distance_m: worstClearance?.distanceM ?? null,
    },
    first_fresnel: {
      min_clearance_ratio: worstFresnel?.value ?? null,
      at_distance_m: worstFresnel?.distanceM ?? null,
      clear: profile.fresnelClear,
      wanted_fraction: radio.fresnelFraction,
    },
    loss_db: {
      free_space: results.freeSpaceDb,
      diffraction: results.diffractionDb,
      foliage: results.foliageDb,
      total: results.freeSpaceDb + results.diffractionDb + results.foliageDb,
    },
    ...(results.link ? { link: linkJson(results.link) } : {}),
    crosses_missing_data: profile.crossesVoid,
    samples: Array.from(samples.distanceM, (distance, i) => ({
      distance_m: distance,
      ground_m: finiteOrNull(samples.groundM[i]),
      surface_m: finiteOrNull(samples.surfaceM[i]),
      bulge_m: samples.bulgeM[i],
      ray_m: samples.rayM[i],
      fresnel_radius_m: samples.fresnelRadiusM[i],
      clearance_m: finiteOrNull(samples.clearanceM[i]),
    })),
  }
}

function endJson(end: PathProfile['from']): object {
  return {
    lat: end.latDeg,
    lon: end.lonDeg,
    ground_m: end.groundM,
    antenna_amsl_m: end.antennaAmslM,
  }
}

function word(answer: boolean | null, yes: string, no: string): string {
  return answer === null ? 'unknown' : answer ? yes : no
}

function finiteOrNull(value: number): number | null {
  return Number.isFinite(value) ? value : null
}

function profileText(
  profile: PathProfile,
  radio: RadioSettings,
  { diffractionDb, foliageDb, link }: RadioResults,
): string {
  const { worstClearance, worstFresnel } = profile
  const at = (metres: number) => `${(metres / 1000).toFixed(2)} km from the launch point`
  const sight = worstClearance
    ? `${word(profile.inSight, 'clear', 'blocked')}, least clearance ${worstClearance.value.toFixed(1)} m at ${at(worstClearance.distanceM)}`
    : 'clear, too short for anything to stand between'
  const fresnel = worstFresnel
    ? `${word(profile.fresnelClear, 'clear', 'obstructed')}, least clearance ${worstFresnel.value.toFixed(2)} of the radius (wanted ${radio.fresnelFraction}) at ${at(worstFresnel.distanceM)}`
    : 'clear'
  return [
    `Distance       ${(profile.distanceM / 1000).toFixed(3)} km, bearing ${profile.bearingDeg.toFixed(1)} degrees`,
    `Launch         ground ${profile.from.groundM.toFixed(1)} m, antenna ${profile.from.antennaAmslM.toFixed(1)} m above sea level`,
    `Target         ground ${profile.to.groundM.toFixed(1)} m, aircraft ${profile.to.antennaAmslM.toFixed(1)} m above sea level`,
    `Line of sight  ${sight}`,
    `First Fresnel  ${fresnel}`,
    `Free space     ${profile.freeSpaceLossDb.toFixed(1)} dB at ${radio.frequencyMhz} MHz`,
    `Diffraction    ${Number.isNaN(diffractionDb) ? 'not known' : `${diffractionDb.toFixed(1)} dB`}${foliageDb > 0 ? `, foliage ${foliageDb.toFixed(1)} dB` : ''}`,
    ...(link
      ? [
          Number.isNaN(link.budget.marginDb)
            ? `Link           ${link.link.name}: not known`
            : `Link           ${link.link.name}: ${link.budget.receivedDbm.toFixed(1)} dBm, margin ${link.budget.marginDb.toFixed(1)} dB (wanted ${link.link.fadeMarginDb} dB)`,
          ...linkWarnings(link.link),
        ]
      : []),
    ...(profile.crossesVoid
      ? ['The path crosses missing data: what stands there is not known.']
      : []),
    'Terrain models miss trees, wires and buildings; a prediction is no promise.',
  ].join('\n')
}
