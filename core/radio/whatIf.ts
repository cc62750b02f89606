import type { PathProfile } from '../propagation/path'
import type { PathGeometry } from './budget'
import { mwFromDbm, type Link } from './link'

/** What would bring a link to the margin wanted at one place; null where nothing of the kind does. */
export interface WhatIf {
  /** Decibels missing, of power or of gain. */
  readonly missingDb: number
  /** Power that alone would do, milliwatts. */
  readonly powerMw: number
  /** Lowest height above ground that alone would do, metres. */
  readonly heightM: number | null
  /** Turning the ground antenna that gains most straight at the aircraft. */
  readonly turn: {
    readonly branch: number
    readonly azimuthDeg: number
    readonly tiltDeg: number
    readonly turnDeg: number
    readonly marginDb: number
  } | null
}

/** Heights above ground are looked at up to here, metres; own choice. */
export const HIGHEST_HELP_M = 1000
const HEIGHT_STEP_M = 10

/**
 * Looks for what would help.
 * @param at the path to the place at a height above ground
 * @param marginOf the margin over a path with a link
 */
export function whatIf(
  link: Link,
  geometry: PathGeometry,
  flyingHeightM: number,
  at: (heightM: number) => PathProfile,
  marginOf: (profile: PathProfile, link: Link) => number,
): WhatIf {
  const now = marginOf(at(flyingHeightM), link)
  const missingDb = Math.max(0, link.fadeMarginDb - now)
  return {
    missingDb,
    powerMw: mwFromDbm(link.powerDbm + missingDb),
    heightM: missingDb === 0 ? null : heightThatDoes(link, flyingHeightM, at, marginOf),
    turn: bestTurn(link, geometry, now, at(flyingHeightM), marginOf),
  }
}

/** The first height on the way up that does, to a metre. */
function heightThatDoes(
  link: Link,
  fromM: number,
  at: (heightM: number) => PathProfile,
  marginOf: (profile: PathProfile, link: Link) => number,
): number | null {
  const does = (heightM: number) => marginOf(at(heightM), link) >= link.fadeMarginDb
  for (let height = fromM + HEIGHT_STEP_M; height <= HIGHEST_HELP_M; height += HEIGHT_STEP_M) {
    if (!does(height)) continue
    let [low, high] = [height - HEIGHT_STEP_M, height]
    while (high - low > 1) {
      const middle = (low + high) / 2
      if (does(middle)) high = middle
      else low = middle
    }
    return Math.ceil(high)
  }
  return null
}

function bestTurn(
  link: Link,
  { azimuthDeg, elevationDeg }: PathGeometry,
  now: number,
  profile: PathProfile,
  marginOf: (profile: PathProfile, link: Link) => number,
): WhatIf['turn'] {
  let best: WhatIf['turn'] = null
  link.branches.forEach((branch, i) => {
    const { antenna, aim } = branch
    if (antenna.kind === 'isotropic' || antenna.kind === 'dipole') return
    const aimed = { ...branch, aim: { azimuthDeg, tiltDeg: elevationDeg } }
    const marginDb = marginOf(profile, { ...link, branches: link.branches.with(i, aimed) })
    if (marginDb <= Math.max(now + 0.5, best?.marginDb ?? -Infinity)) return
    const apart = Math.abs(((azimuthDeg - aim.azimuthDeg + 540) % 360) - 180)
    const turnDeg = Math.hypot(apart, elevationDeg - aim.tiltDeg)
    best = { branch: i, azimuthDeg, tiltDeg: elevationDeg, turnDeg, marginDb }
  })
  return best
}
