import { beforeAll, describe, expect, test } from 'vitest'
import { pathBudget } from '../../core/radio/pathBudget'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { pathProfile, resolveEnd } from '../../core/propagation/path'
import { AirColumns } from '../../core/route/airColumns'
import { NO_ROUTE, waypointAt } from '../../core/route/route'
import { routeLine } from '../../core/route/routeLine'
import { buildSurface } from '../../core/surface/surface'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { seededRandom } from '../support/exactReference'
import { VIDEO_LINK } from '../support/madeTerrain'
import { DEMO_TERRAIN, NO_SHARED_TERRAIN, SAN_GABRIEL_UTM } from '../support/places'

describe.each([
  ['the demo massif', DEMO_TERRAIN, 0],
  [SAN_GABRIEL_UTM ? 'the San Gabriel mountains' : NO_SHARED_TERRAIN, SAN_GABRIEL_UTM, 0],
  ['the demo massif under trees', DEMO_TERRAIN, 12],
])('corridor over %s against point profiles', (_, path, treesM) => {
  let terrain: TerrainGrid
  beforeAll(async () => {
    if (path) terrain = await readTerrainFile(path)
  })

  test.skipIf(!path)('at 500 random points of a route', () => {
    const locator = new GridLocator(terrain)
    const random = seededRandom(23)
    const place = (x: number, y: number) =>
      locator.toLatLon({ col: x * (terrain.cols - 1), row: y * (terrain.rows - 1) })
    const at = place(0.41, 0.43)
    const surface = buildSurface(terrain, { heightM: treesM, treeLineM: null }, null, [])
    const waypoints = Array.from({ length: 12 }, () =>
      waypointAt(place(0.05 + 0.9 * random(), 0.05 + 0.9 * random()), 60),
    )
    const line = routeLine(terrain, locator, surface, at, { ...NO_ROUTE, waypoints })
    const from = { ...at, label: 'launch point', heightM: 2 }
    const seen = { ...surface, clearingM: 60 }
    const links = [VIDEO_PRESETS[2], CONTROL_PRESETS[0]]
    const launch = resolveEnd(terrain, locator, from)
    const columns = new AirColumns(terrain, locator, seen, launch, VIDEO_LINK, links)

    let worst = { sight: 0, fresnel: 0, margin: 0, floor: 0 }
    for (let k = 0; k < 500; k++) {
      const sample = Math.floor(random() * line.distanceM.length)
      const heightM = treesM + 10 + 300 * random()
      const column = columns.over({ col: line.cols[sample], row: line.rows[sample] }, heightM)
      const there = locator.toLatLon({ col: line.cols[sample], row: line.rows[sample] })
      const profileAt = (height: number) =>
        pathProfile(terrain, from, { ...there, label: 'point', heightM: height }, VIDEO_LINK, seen)

      // On either side of each clear height the profile answers differently.
      for (const [clear, answer] of [
        [column.sightM, 'inSight'],
        [column.fresnelM, 'fresnelClear'],
      ] as const) {
        if (clear > treesM + 0.1) expect(profileAt(clear - 0.05)[answer]).toBe(false)
        expect(profileAt(Math.max(treesM, clear) + 0.05)[answer]).toBe(true)
      }
      // The margin, and the height that has the wanted one.
      const profile = profileAt(heightM)
      const exact = links.map(
        (link) => pathBudget(profile, link, VIDEO_LINK.kFactor, 'solid').marginDb,
      )
      exact.forEach((margin, i) => {
        worst = { ...worst, margin: Math.max(worst.margin, Math.abs(margin - column.marginsDb[i])) }
        const floor = column.marginFloorsM[i]
        if (!Number.isFinite(floor) || floor === 0) return
        const reached = pathBudget(profileAt(floor), links[i], VIDEO_LINK.kFactor, 'solid').marginDb
        const off = links[i].fadeMarginDb - reached
        worst = { ...worst, floor: Math.max(worst.floor, off) }
      })
    }
    console.log(
      `worst of 500: margin ${worst.margin.toFixed(2)} dB, floor short of ${worst.floor.toFixed(2)} dB`,
    )
    expect(worst.margin).toBeLessThan(0.6)
    expect(worst.floor).toBeLessThan(0.6)
  })
})
