import { AimedAntenna, polarisationLossDb, type Aim } from '../radio/antenna'
import type { Link } from '../radio/link'
import { wavelengthM } from '../propagation/freeSpace'

/** A target as the ground antenna sees it. */
export interface Sighting {
  readonly azimuthDeg: number
  readonly elevationDeg: number
  /** Margin without the ground antenna's gain, feeder and polarisation loss, dB. */
  readonly baseDb: number
  /** How much it counts beside the others; as much as they where it is not given. */
  readonly weight?: number
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
 * the degree; or, with a margin wanted, that give it to as many targets as can be, the worst margin
 * second. One branch is aimed against the others as they stand, again and again.
 */
export function bestAims(
  link: Link,
  sightings: readonly Sighting[],
  wantedDb: number | null = null,
): { aims: Aim[]; worstDb: number } {
  const rate = (of: readonly Float64Array[]) => {
    const least = worst(sightings, of)
    return wantedDb === null ? least : MANY * weightWith(sightings, of, wantedDb) + least
  }
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
  // An isotropic antenna has nowhere to point, and nobody leans a dipole.
  const turned = link.branches.flatMap(({ antenna: { kind } }, branch) =>
    kind === 'isotropic' || kind === 'dipole' ? [] : [branch],
  )
  /** Betters aims from where they are until no branch alone can. */
  const better = (start: readonly Aim[]) => {
    const aims = [...start]
    const nets = aims.map((aim, branch) => netOf(branch, aim))
    let rating = rate(nets)
    for (let round = 0; round < ROUNDS; round++) {
      const before = rating
      for (const branch of turned) {
        const others = nets.filter((_, other) => other !== branch)
        const judged = (aim: Aim) => {
          const net = netOf(branch, aim)
          return { aim, net, rating: rate([...others, net]) }
        }
        let tried = grid(0, 359, LEAST_TILT, MOST_TILT, COARSE_DEG).map(judged)
        tried.push(judged(aims[branch]))
        tried = tried.sort((a, b) => b.rating - a.rating).slice(0, KEPT)
        const fine = tried.flatMap(({ aim }) => around(aim).map(judged))
        const best = [...tried, ...fine].reduce((a, b) => (b.rating > a.rating + 1e-9 ? b : a))
        if (best.rating <= rating + 1e-9) continue
        aims[branch] = best.aim
        nets[branch] = best.net
        rating = best.rating
      }
      if (rating <= before + 1e-6 || turned.length < 2) break
    }
    return { aims, rating, worstDb: worst(sightings, nets) }
  }
  const now = link.branches.map(({ aim }) => aim)
  const found = [better(now)]
  // Two that stand alike find no way apart by themselves.
  if (turned.length > 1) found.push(better(sharedOut(now, turned, sightings)))
  const { aims, worstDb } = found.reduce((a, b) => (b.rating > a.rating ? b : a))
  return { aims, worstDb }
}

/** Every degree around an aim. */
function around({ azimuthDeg, tiltDeg }: Aim): Aim[] {
  return grid(
    azimuthDeg - COARSE_DEG,
    azimuthDeg + COARSE_DEG,
    Math.max(LEAST_TILT, tiltDeg - COARSE_DEG),
    Math.min(MOST_TILT, tiltDeg + COARSE_DEG),
    1,
  )
}

/** Each branch aimed at its share of the targets, in their order around from the widest gap. */
function sharedOut(
  now: readonly Aim[],
  turned: readonly number[],
  sightings: readonly Sighting[],
): Aim[] {
  const order = [...sightings].sort((a, b) => a.azimuthDeg - b.azimuthDeg)
  const gapAfter = (k: number) => {
    const next = order[(k + 1) % order.length].azimuthDeg
    return (next - order[k].azimuthDeg + 360) % 360
  }
  const widest = order.reduce((best, _, k) => (gapAfter(k) > gapAfter(best) ? k : best), 0)
  const from = [...order.slice(widest + 1), ...order.slice(0, widest + 1)]
  const aims = [...now]
  turned.forEach((branch, i) => {
    const own = from[Math.floor(((i + 0.5) * from.length) / turned.length)]
    if (own) {
      const azimuthDeg = Math.round(own.azimuthDeg) % 360
      aims[branch] = { azimuthDeg, tiltDeg: Math.round(own.elevationDeg) }
    }
  })
  return aims
}

/** More than any margin, so that targets count before decibels. */
const MANY = 1e6

/** Weight of the targets with a margin wanted, the best branch at each. */
function weightWith(
  sightings: readonly Sighting[],
  nets: readonly Float64Array[],
  wantedDb: number,
): number {
  let sum = 0
  for (let k = 0; k < sightings.length; k++) {
    const { baseDb, weight = 1 } = sightings[k]
    if (nets.some((net) => baseDb + net[k] >= wantedDb)) sum += weight
  }
  return sum
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
