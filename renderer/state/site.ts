import { batch, computed, signal } from '@preact/signals'
import { wrap } from 'comlink'
import { PilotError } from '../../core/errors'
import type { LatLon } from '../../core/geodesy/earth'
import { pathProfile, resolveEnd, type PathProfile } from '../../core/propagation/path'
import { GridLocator } from '../../core/terrain/grid'
import type { ReliefWorker } from '../workers/relief.worker'
import type { ReadTerrain } from '../workers/terrain.worker'
import { cancelDrawing } from './drawing'
import { takeAsNew } from './planText'
import { keepAside } from './recentPlans'
import { changeSetup, setup, setupHistory, type Setup } from './setup'
import { surface } from './surface'
import { locator, origin, summary, terrain, terrainFiles, type SiteOrigin } from './terrain'
import { watched } from './threads'
import { say } from '../../core/words/say'
import { notice, orSentence } from './work'

export const reliefWorker = wrap<ReliefWorker>(
  watched(new Worker(new URL('../workers/relief.worker.ts', import.meta.url), { type: 'module' })),
)

/** A place of the demo site with a name. */
export interface NamedPlace extends LatLon {
  readonly name: string
  readonly kind: string
}

/** What to begin with on a terrain just opened. */
export interface Beginning {
  readonly setup: Setup
  readonly places?: readonly NamedPlace[]
  /** How far around the launch point the map first shows, metres; the whole site if not given. */
  readonly firstViewM?: number
}

/** Named places of the terrain at hand; none where it has none. */
export const places = signal<readonly NamedPlace[]>([])
export const firstViewM = signal<number | null>(null)

/** Middle of what the map shows. */
export const mapCentre = signal<LatLon | null>(null)
/** What the map shows of the site. */
export const mapView = signal<{ readonly contains: (at: LatLon) => boolean } | null>(null)
/** Position under the pointer on the map. */
export const pointer = signal<LatLon | null>(null)
/** Sample of the profile that is pointed at, on the chart or by key. */
export const pointedSample = signal<number | null>(null)

/** The path from the launch point to the target, or why there is none. */
export const profile = computed((): PathProfile | string | null => {
  const { launch, antennaHeightM, target, flyingHeightM, radio, clearingM } = setup.value
  const [grid, stands] = [terrain.value, surface.value]
  if (!grid || !stands || !target) return null
  return orSentence(() =>
    pathProfile(
      grid,
      { ...launch, label: say('common.launchPointInText'), heightM: antennaHeightM },
      { ...target, label: say('site.target'), heightM: flyingHeightM },
      radio,
      { ...stands, clearingM },
    ),
  )
})

/** The sample pointed at, where the path at hand has it. */
export const profileSample = computed((): number | null => {
  const [path, sample] = [profile.value, pointedSample.value]
  if (path === null || typeof path === 'string' || sample === null) return null
  return sample < path.samples.distanceM.length ? sample : null
})

/**
 * Goes over to a terrain that was read. Throws a PilotError for one that the map cannot show or
 * that the plan cannot stay on; then everything stays as it is. A plan with changes in no file stays
 * among the recent ones.
 * @param begin what to begin with on it; the plan stays where that is null
 */
export function takeTerrain(
  { grid, summary: sums, files }: ReadTerrain,
  from: SiteOrigin,
  begin: Beginning | null,
): void {
  const place = new GridLocator(grid)
  if (place.outline().some(({ latDeg }) => Math.abs(latDeg) > MAP_LIMIT_DEG)) {
    throw new PilotError(
      say('site.liesPastDegreesLatitude', { name: grid.name, limitDeg: MAP_LIMIT_DEG }),
    )
  }
  if (!begin) {
    resolveEnd(grid, place, {
      ...setup.peek().launch,
      label: say('common.launchPointInText'),
      heightM: 0,
    })
  }
  if (begin) keepAside()
  batch(() => {
    pointedSample.value = null
    pointer.value = null
    cancelDrawing()
    firstViewM.value = begin?.firstViewM ?? null
    if (begin) {
      places.value = begin.places ?? []
      setupHistory.reset(begin.setup)
    }
    // Tiles asked for from here on wait for this in the worker.
    void reliefWorker.setTerrain(grid)
    origin.value = from
    terrainFiles.value = files
    summary.value = sums
    terrain.value = grid
  })
  if (begin) takeAsNew()
}

/** The usual projection of web maps ends here. */
const MAP_LIMIT_DEG = 85

/** Moves the launch point if the terrain has ground there; says so and stays if not. */
export function moveLaunch(launch: LatLon, gesture: string | null = null): boolean {
  return movePoint(say('common.launchPointInText'), launch, () => changeSetup({ launch }, gesture))
}

export function moveTarget(target: LatLon, gesture: string | null = null): boolean {
  return movePoint(say('site.target'), target, () => changeSetup({ target }, gesture))
}

function movePoint(label: string, point: LatLon, move: () => void): boolean {
  if (!terrain.value || !locator.value) return false
  const [grid, place] = [terrain.value, locator.value]
  const refusal = orSentence(() => {
    resolveEnd(grid, place, { ...point, label, heightM: 0 })
    return null
  })
  notice.value = refusal
  if (refusal === null) move()
  return refusal === null
}
