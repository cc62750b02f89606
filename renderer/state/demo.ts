import demoUrl from '../../assets/demo-massif.tif?url'
import demoPlaces from '../../assets/demo-places.json'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { DEFAULT_SETUP, setup, type Setup } from './setup'
import { openTerrain, type Beginning, type NamedPlace } from './site'

const LAUNCH_KIND = 'launch'

/** Opens the embedded demo site with its launch point set. */
export function openDemo(): Promise<void> {
  const source = { name: 'Durrask massif (demo)', url: new URL(demoUrl, document.baseURI).href }
  return openTerrain(source, (grid) => {
    const locator = new GridLocator(grid)
    const places = demoPlaces.map((place): NamedPlace => ({ ...place, ...locator.toLatLon(place) }))
    const launch = places.find(({ kind }) => kind === LAUNCH_KIND) ?? middleOf(grid)
    return {
      setup: beginAt(launch),
      places: places.filter(({ kind }) => kind !== LAUNCH_KIND),
      firstViewM: 5000,
    }
  })
}

/** The setup for a terrain nobody has planned on yet. */
export function beginInTheMiddle(grid: TerrainGrid): Beginning {
  return { setup: beginAt(middleOf(grid)) }
}

function beginAt({ latDeg, lonDeg }: { latDeg: number; lonDeg: number }): Setup {
  // What flies, and how it is linked, goes with the pilot from site to site.
  const { video, control, radio, aircraft, battery, wind, airspeedMs, limits } = setup.peek()
  const kept = { video, control, radio, aircraft, battery, wind, airspeedMs, limits }
  return { ...DEFAULT_SETUP, ...kept, launch: { latDeg, lonDeg } }
}

/** The cell with data nearest to the middle of the grid. */
function middleOf(grid: TerrainGrid): { latDeg: number; lonDeg: number } {
  const { cols, rows, heights } = grid
  const [midCol, midRow] = [Math.floor(cols / 2), Math.floor(rows / 2)]
  let best = { col: midCol, row: midRow }
  let least = Infinity
  for (let row = 0, i = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++, i++) {
      const squared = (col - midCol) ** 2 + (row - midRow) ** 2
      if (squared < least && !Number.isNaN(heights[i])) {
        least = squared
        best = { col, row }
      }
    }
  }
  return new GridLocator(grid).toLatLon(best)
}
