import demoUrl from '../../assets/demo-massif.tif?url'
import demoPlaces from '../../assets/demo-places.json'
import { GridLocator } from '../../core/terrain/grid'
import type { TerrainSource } from '../../core/terrain/source'
import type { ReadTerrain } from '../workers/terrain.worker'
import { DEFAULT_SETUP, setup, type Setup } from './setup'
import type { Beginning, NamedPlace } from './site'

const LAUNCH_KIND = 'launch'

/** The embedded demo terrain. */
export const DEMO_SOURCE: TerrainSource = {
  name: 'Durrask massif (demo)',
  url: new URL(demoUrl, document.baseURI).href,
}

/** The demo site with its launch point set. */
export function beginOnDemo({ grid, summary }: ReadTerrain): Beginning {
  const launch = demoPlaces.find(({ kind }) => kind === LAUNCH_KIND)
  return {
    setup: beginAt(new GridLocator(grid).toLatLon(launch ?? summary.middle)),
    places: demoPlacesOn(grid),
    firstViewM: 5000,
  }
}

/** Named places of the demo on its own grid. */
export function demoPlacesOn(grid: ReadTerrain['grid']): NamedPlace[] {
  const locator = new GridLocator(grid)
  return demoPlaces
    .filter(({ kind }) => kind !== LAUNCH_KIND)
    .map((place): NamedPlace => ({ ...place, ...locator.toLatLon(place) }))
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
