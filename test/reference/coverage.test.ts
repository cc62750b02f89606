import { beforeAll, describe, expect, test } from 'vitest'
import { computeClearHeights } from '../../core/coverage/clearHeights'
import { ClearCounts } from '../../core/coverage/shares'
import { pathProfile } from '../../core/propagation/path'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { exactClearHeights, judge, seededRandom } from '../support/exactReference'
import { VIDEO_LINK } from '../support/madeTerrain'
import {
  DEMO_TERRAIN,
  isInstalled,
  NO_SHARED_TERRAIN,
  SAN_GABRIEL_DEGREES,
  SAN_GABRIEL_UTM,
} from '../support/places'
import { groundOf, sweepAll } from '../support/sweepAll'
import { Viewshed } from '../support/viewshed'

const round = (value: number) => Number(value.toFixed(3))

describe.each([
  ['the demo massif', DEMO_TERRAIN],
  [SAN_GABRIEL_UTM ? 'the San Gabriel mountains' : NO_SHARED_TERRAIN, SAN_GABRIEL_UTM],
])('%s', (name, path) => {
  let terrain: TerrainGrid
  beforeAll(async () => {
    if (path) terrain = await readTerrainFile(path)
  })

  // Launch points as shares of the grid: middle, slopes, and three cells from the border.
  test.skipIf(!path).each([
    [0.5, 0.5],
    [0.31, 0.62],
    [0.72, 0.35],
    [0.003, 0.45],
  ])('sweep against the exact reference from (%d, %d)', (x, y) => {
    const position = { col: x * (terrain.cols - 1) + 0.3, row: y * (terrain.rows - 1) + 0.2 }
    const { settings, ...fields } = sweepAll(terrain, position)
    const found = judge(groundOf(terrain), settings, fields, { cells: 10_000 })
    console.log(
      `${name} from (${x}, ${y}): misjudged at 30, 60, 120 m, %: sight ${Object.values(found.sightPercent).map(round).join(', ')}; Fresnel ${Object.values(found.fresnelPercent).map(round).join(', ')}; mean error ${round(found.sightMeanM)} and ${round(found.fresnelMeanM)} m`,
    )
    for (const percent of [
      ...Object.values(found.sightPercent),
      ...Object.values(found.fresnelPercent),
    ]) {
      expect(percent).toBeLessThan(0.1)
    }
    expect(found.sightMeanM).toBeLessThan(1)
    expect(found.fresnelMeanM).toBeLessThan(1)
  })

  test.skipIf(!path)('every cell gets an answer', () => {
    // Neither site has gaps, behind which there would be none.
    const { sightM, fresnelM } = sweepAll(terrain, { col: 400.5, row: 300 })
    expect(sightM.some(Number.isNaN)).toBe(false)
    expect(fresnelM.some(Number.isNaN)).toBe(false)
  })

  test.skipIf(!path)('profiles and fields tell the same story', () => {
    const position = { col: 430.2, row: 310.7 }
    const locator = new GridLocator(terrain)
    const { sightM, fresnelM } = sweepAll(terrain, position)
    const random = seededRandom(8)
    let disagreements = 0
    for (let i = 0; i < 400; i++) {
      const cell = {
        col: Math.floor(random() * terrain.cols),
        row: Math.floor(random() * terrain.rows),
      }
      const path = pathProfile(
        terrain,
        { ...locator.toLatLon(position), label: 'launch point', heightM: 2 },
        { ...locator.toLatLon(cell), label: 'target', heightM: 90 },
        VIDEO_LINK,
      )
      const index = cell.row * terrain.cols + cell.col
      if (path.inSight !== sightM[index] <= 90) disagreements++
      if (path.fresnelClear !== fresnelM[index] <= 90) disagreements++
    }
    expect(disagreements).toBeLessThanOrEqual(2)
  })

  test.skipIf(!path || !isInstalled('gdal_viewshed'))(
    "disagrees less with the exact reference than GDAL's viewshed",
    async () => {
      const position = { col: Math.round(terrain.cols * 0.42), row: Math.round(terrain.rows * 0.4) }
      const { settings, sightM } = sweepAll(terrain, position)
      const flyingHeightM = 60
      const viewshed = new Viewshed(terrain, position.col, position.row, flyingHeightM)
      viewshed.run()
      const seen = await viewshed.seen()
      const random = seededRandom(4)
      let [ours, theirs] = [0, 0]
      const count = 10_000
      for (let i = 0; i < count; i++) {
        const col = Math.floor(random() * terrain.cols)
        const row = Math.floor(random() * terrain.rows)
        const index = row * terrain.cols + col
        const exact =
          exactClearHeights(groundOf(terrain), settings, col, row).sightM <= flyingHeightM
        if (sightM[index] <= flyingHeightM !== exact) ours++
        if (seen[index] > 0 !== exact) theirs++
      }
      console.log(
        `${name}: cells on the wrong side at 60 m: Colsight ${round((100 * ours) / count)} %, gdal_viewshed ${round((100 * theirs) / count)} %`,
      )
      expect(ours / count).toBeLessThan(0.003)
      expect(ours).toBeLessThanOrEqual(theirs)
    },
  )
})

describe.skipIf(!SAN_GABRIEL_UTM || !SAN_GABRIEL_DEGREES)(
  SAN_GABRIEL_UTM ? 'the same ground in degrees and in UTM' : NO_SHARED_TERRAIN,
  () => {
    test('has the same coverage within 1 % of the area', async () => {
      const metres = await readTerrainFile(SAN_GABRIEL_UTM!)
      const degrees = await readTerrainFile(SAN_GABRIEL_DEGREES!)
      const launch = new GridLocator(metres).toLatLon({ col: 610, row: 300 })
      const settings = {
        launch,
        antennaHeightM: 4,
        radio: VIDEO_LINK,
        radiusM: 9000,
        sector: null,
        clearingM: 0,
      }
      const [a, b] = [
        await computeClearHeights(metres, settings),
        await computeClearHeights(degrees, settings),
      ]
      for (const height of [60, 120]) {
        const shareA = ClearCounts.of(a, 0).at(height)
        const shareB = ClearCounts.of(b, 0).at(height)
        expect(Math.abs(shareA.fresnelClear - shareB.fresnelClear)).toBeLessThan(0.01)
        expect(Math.abs(shareA.blocked - shareB.blocked)).toBeLessThan(0.01)
      }
    })
  },
)
