import { EARTH_RADIUS_M } from '../geodesy/earth'
import {
  deltaBullington,
  type DiffractionLoss,
  type DiffractionRadio,
} from '../propagation/diffraction'
import { foliageLossDb } from '../propagation/foliage'
import { wavelengthM } from '../propagation/freeSpace'
import type { PathProfile } from '../propagation/path'
import { linkBudget, type Budget, type PathGeometry } from './budget'
import type { Polarisation } from './antenna'
import type { Link } from './link'

/** What stands on a path besides obstacles: in the way as if solid, or leaves that cost as one passes. */
export type Foliage = 'solid' | 'lossy'

/** Losses of a path besides free space. */
export interface PathLosses {
  readonly diffraction: DiffractionLoss
  readonly foliageDb: number
  /** How far the ray runs through vegetation, metres. */
  readonly foliageM: number
}

/** Which of the two linear cases of the Recommendation a polarisation is taken as. */
export function linearCase(polarisation: Polarisation): DiffractionRadio['polarisation'] {
  return polarisation === 'vertical' ? 'vertical' : 'horizontal'
}

/** Diffraction and foliage over a profile, at any frequency. */
export function pathLosses(
  profile: PathProfile,
  frequencyMhz: number,
  kFactor: number,
  polarisation: Polarisation,
  foliage: Foliage,
): PathLosses {
  const { distanceM, surfaceM, solidM } = profile.samples
  const diffraction = deltaBullington(
    {
      distanceM,
      surfaceM: foliage === 'solid' ? surfaceM : solidM,
      fromAmslM: profile.from.antennaAmslM,
      toAmslM: profile.to.antennaAmslM,
      effectiveRadiusM: kFactor * EARTH_RADIUS_M,
      ownGroundM: profile.ownGroundM,
    },
    { wavelengthM: wavelengthM(frequencyMhz), polarisation: linearCase(polarisation) },
  )
  const foliageM = foliage === 'solid' ? 0 : lengthInFoliageM(profile)
  return { diffraction, foliageM, foliageDb: foliageLossDb(foliageM, frequencyMhz) }
}

/** Length of the stretches where the ray runs between the solid surface and the tops. */
function lengthInFoliageM({ samples }: PathProfile): number {
  const { distanceM, surfaceM, solidM, rayM, bulgeM } = samples
  let length = 0
  for (let i = 1; i < distanceM.length; i++) {
    const height = rayM[i] - bulgeM[i]
    if (height < surfaceM[i] && height > solidM[i]) length += distanceM[i] - distanceM[i - 1]
  }
  return length
}

/** Direction and straight distance from the ground antenna to the aircraft at the far end. */
export function geometryOfPath(profile: PathProfile, kFactor: number): PathGeometry {
  const { distanceM, bearingDeg, from, to } = profile
  const rise = to.antennaAmslM - from.antennaAmslM
  const slope = rise / distanceM - distanceM / (2 * kFactor * EARTH_RADIUS_M)
  return {
    slantM: Math.hypot(distanceM, rise),
    azimuthDeg: bearingDeg,
    elevationDeg: (Math.atan(slope) * 180) / Math.PI,
  }
}

/** The whole budget of a link over a profile. */
export function pathBudget(
  profile: PathProfile,
  link: Link,
  kFactor: number,
  foliage: Foliage,
): Budget {
  const { polarisation } = link.branches[0].antenna
  const losses = pathLosses(profile, link.frequencyMhz, kFactor, polarisation, foliage)
  return linkBudget(link, geometryOfPath(profile, kFactor), {
    diffractionDb: losses.diffraction.totalDb,
    foliageDb: losses.foliageDb,
  })
}
