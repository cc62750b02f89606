import { proxy } from 'comlink'
import demoUrl from '../../assets/demo-massif.tif?url'
import demoPlaces from '../../assets/demo-places.json'
import { GridLocator } from '../../core/terrain/grid'
import type { ReadTerrain } from '../workers/terrain.worker'
import { DEFAULT_SETUP, setup, type Setup } from './setup'
import { lossWords, takeTerrain, type Beginning, type NamedPlace } from './site'
import { requestFor, terrainWorker } from './terrain'
import { notice, trackWork } from './work'

const LAUNCH_KIND = 'launch'

/** Opens the embedded demo site with its launch point set. */
export async function openDemo(): Promise<void> {
  const loss = lossWords()
  if (loss && !window.confirm(`${loss} Go on?`)) return
  notice.value = null
  const source = { name: 'Durrask massif (demo)', url: new URL(demoUrl, document.baseURI).href }
  const request = requestFor([source])
  const tracked = trackWork(`Reading ${source.name}`, () => void terrainWorker.cancel())
  const outcome = await terrainWorker.readWhole(request, proxy(tracked.report))
  tracked.end()
  if (outcome.kind === 'failed') notice.value = outcome.sentence
  if (outcome.kind !== 'done') return
  takeTerrain(outcome.value, { request, wish: {}, fillUpToCells: 0 }, beginOnDemo(outcome.value))
}

function beginOnDemo({ grid, summary }: ReadTerrain): Beginning {
  const locator = new GridLocator(grid)
  const places = demoPlaces.map((place): NamedPlace => ({ ...place, ...locator.toLatLon(place) }))
  const launch = places.find(({ kind }) => kind === LAUNCH_KIND)
  return {
    setup: beginAt(launch ?? locator.toLatLon(summary.middle)),
    places: places.filter(({ kind }) => kind !== LAUNCH_KIND),
    firstViewM: 5000,
  }
}

/** The setup for a terrain nobody has planned on yet. */
export function beginInTheMiddle({ grid, summary }: ReadTerrain): Beginning {
  return { setup: beginAt(new GridLocator(grid).toLatLon(summary.middle)) }
}

function beginAt({ latDeg, lonDeg }: { latDeg: number; lonDeg: number }): Setup {
  // What flies, and how it is linked, goes with the pilot from site to site.
  const { video, control, radio, aircraft, battery, wind, airspeedMs, limits } = setup.peek()
  const kept = { video, control, radio, aircraft, battery, wind, airspeedMs, limits }
  return { ...DEFAULT_SETUP, ...kept, launch: { latDeg, lonDeg } }
}
