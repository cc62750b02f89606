import { AimedAntenna, polarisationLossDb, type Aim } from '../radio/antenna'
import type { Link } from '../radio/link'
import { wavelengthM } from '../propagation/freeSpace'

/** A target as the ground antenna sees it. */
export interface Sighting {
  readonly azimuthDeg: number
  readonly elevationDeg: number
  /** Margin without the ground antenna's gain, feeder and polarisation loss, dB. */
  readonly baseDb: number
}

/** Tilts that are tried, degrees. */
const LEAST_TILT = -30
const MOST_TILT = 80
/** Coarse steps first, then the best few to the degree. */
const COARSE_DEG = 5
const KEPT = 6
/** Rounds over the branches, each the best against the others. */
const ROUNDS = 3

/**
 * Aims of a link's branches that make the worst margin over some targets as good as can be, to
 * the degree. One branch is aimed against the others as they stand, again and again.
 */
export function bestAims(
  link: Link,
  sightings: readonly Sighting[],
): { aims: Aim[]; worstDb: number } {
  const aims: Aim[] = link.branches.map(({ aim }) => aim)
  const lambda = wavelengthM(link.frequencyMhz)
  const antennas = link.branches.map(({ antenna, aim }) => AimedAntenna.of(antenna, aim, lambda))
  /** What one branch adds toward each target when it is aimed so, dB. */
  const netOf = (branch: number, aim: Aim) => {
    const { antenna, feederLossDb } = link.branches[branch]
    const crossed = polarisationLossDb(antenna.polarisation, link.aircraft.antenna.polarisation)
    const aimed = antennas[branch].toward(aim)
    return Float64Array.from(
      sightings,
      ({ azimuthDeg, elevationDeg }) =>
        aimed.gainDbi(azimuthDeg, elevationDeg) - feederLossDb - crossed,
    )
  }
  const nets = aims.map((aim, branch) => netOf(branch, aim))
  let worstDb = worst(sightings, nets)
  for (let round = 0; round < ROUNDS; round++) {
    const before = worstDb
    for (let branch = 0; branch < link.branches.length; branch++) {
      if (link.branches[branch].antenna.kind === 'isotropic') continue
      const others = nets.filter((_, other) => other !== branch)
      const judged = (aim: Aim) => {
        const net = netOf(branch, aim)
        return { aim, net, db: worst(sightings, [...others, net]) }
      }
      let tried = grid(0, 359, LEAST_TILT, MOST_TILT, COARSE_DEG).map(judged)
      tried.push(judged(aims[branch]))
      tried = tried.sort((a, b) => b.db - a.db).slice(0, KEPT)
      const fine = tried.flatMap(({ aim }) =>
        grid(
          aim.azimuthDeg - COARSE_DEG,
          aim.azimuthDeg + COARSE_DEG,
          Math.max(LEAST_TILT, aim.tiltDeg - COARSE_DEG),
          Math.min(MOST_TILT, aim.tiltDeg + COARSE_DEG),
          1,
        ).map(judged),
      )
      const best = [...tried, ...fine].reduce((a, b) => (b.db > a.db + 1e-9 ? b : a))
      if (best.db <= worstDb + 1e-9) continue
      aims[branch] = best.aim
      nets[branch] = best.net
      worstDb = best.db
    }
    if (worstDb <= before + 1e-6) break
  }
  return { aims, worstDb }
}

/** Aims at every so-many-th degree. */
function grid(west: number, east: number, low: number, high: number, step: number): Aim[] {
  const aims: Aim[] = []
  for (let azimuth = west; azimuth <= east; azimuth += step) {
    for (let tiltDeg = low; tiltDeg <= high; tiltDeg += step) {
      aims.push({ azimuthDeg: (azimuth + 360) % 360, tiltDeg })
    }
  }
  return aims
}

/** The worst margin over all targets, the best branch at each. */
function worst(sightings: readonly Sighting[], nets: readonly Float64Array[]): number {
  let least = Infinity
  for (let k = 0; k < sightings.length; k++) {
    let most = -Infinity
    for (const net of nets) if (net[k] > most) most = net[k]
    least = Math.min(least, sightings[k].baseDb + most)
  }
  return least
}
