import { computed } from '@preact/signals'
import { classOf, COVERAGE_CLASSES, type CoverageClass } from '../../core/coverage/shares'
import { geodesic } from '../../core/geodesy/geodesic'
import type { LatLon } from '../../core/geodesy/earth'
import { cellIndex, GridLocator } from '../../core/terrain/grid'
import { coverage } from './coverage'
import { shownPlaces } from './keptPlaces'
import { setup } from './setup'

/** What the map shows of a named place, to be read. */
export interface PlaceAnswer {
  readonly name: string
  readonly at: LatLon
  readonly distanceM: number
  readonly bearingDeg: number
  /** Clear height for Fresnel, metres above ground; NaN without an answer. */
  readonly fresnelM: number
  /** The answer at the flying height; null where there is none. */
  readonly answer: CoverageClass | null
}

/** All named places of the site and the plan, the nearest to the launch point first. */
export const placeAnswers = computed((): readonly PlaceAnswer[] => {
  const fields = coverage.value
  const { launch, flyingHeightM } = setup.value
  const locator = fields && new GridLocator(fields.frame)
  return shownPlaces.value
    .map(({ name, latDeg, lonDeg }) => {
      const at = { latDeg, lonDeg }
      const cell = fields && locator ? cellIndex(fields.frame, locator.toGrid(at)) : -1
      const index = fields && cell >= 0 ? classOf(fields, cell, flyingHeightM, fields.errorM) : -1
      const { distanceM, bearingDeg } = geodesic(launch, at)
      return {
        name,
        at,
        distanceM,
        bearingDeg,
        fresnelM: fields && cell >= 0 ? fields.fresnelM[cell] : NaN,
        answer: COVERAGE_CLASSES[index] ?? null,
      }
    })
    .sort((a, b) => a.distanceM - b.distanceM)
})
