import { beforeAll, describe, expect, test } from 'vitest'
import { PathSweep } from '../../core/coverage/pathSweep'
import { EARTH_RADIUS_M } from '../../core/geodesy/earth'
import { deltaBullington } from '../../core/propagation/diffraction'
import { freeSpaceLossDb, wavelengthM } from '../../core/propagation/freeSpace'
import { OWN_GROUND_CELLS, pathProfile } from '../../core/propagation/path'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { geometryOfPath } from '../../core/radio/pathBudget'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { seededRandom } from '../support/exactReference'
import { VIDEO_LINK } from '../support/madeTerrain'
import { DEMO_TERRAIN, NO_SHARED_TERRAIN, SAN_GABRIEL_UTM } from '../support/places'
import { groundOf, sweepAll } from '../support/sweepAll'

describe.each([
  ['the demo massif', DEMO_TERRAIN],
  [SAN_GABRIEL_UTM ? 'the San Gabriel mountains' : NO_SHARED_TERRAIN, SAN_GABRIEL_UTM],
])('diffraction over %s', (name, path) => {
  let terrain: TerrainGrid
  beforeAll(async () => {
    if (path) terrain = await readTerrainFile(path)
  })

  test.skipIf(!path).each([
    [0.5, 0.5, 60],
    [0.31, 0.62, 60],
    [0.72, 0.35, 120],
  ])('field against the profile at 2,000 random cells, from (%d, %d) at %d m', (x, y, heightM) => {
    const position = { col: x * (terrain.cols - 1) + 0.3, row: y * (terrain.rows - 1) + 0.2 }
    const ground = groundOf(terrain)
    const requests = [5800, 868].map((frequencyMhz) => {
      const { settings, ...fields } = sweepAll(terrain, position, 2, {
        ...VIDEO_LINK,
        frequencyMhz,
      })
      const polarisation = 'horizontal' as const
      return { task: { settings, frequencyMhz, heightM, northRad: 0, polarisation }, fields }
    })
    const paths = requests.map(() => ({
      lossDb: new Float32Array(terrain.heights.length).fill(NaN),
      directions: new Uint16Array(terrain.heights.length),
    }))
    const sweep = new PathSweep(ground, requests, paths)
    sweep.run(0, sweep.rayCount)
    const links = requests.map(({ task: { frequencyMhz, polarisation } }, k) => ({
      lossDb: paths[k].lossDb,
      radio: { wavelengthM: wavelengthM(frequencyMhz), polarisation },
      frequencyMhz,
    }))
    const locator = new GridLocator(terrain)
    const launch = { ...locator.toLatLon(position), label: 'launch point', heightM: 2 }
    const random = seededRandom(17)
    const off: number[][] = [[], []]
    while (off[0].length < 2000) {
      const cell = {
        col: Math.floor(random() * terrain.cols),
        row: Math.floor(random() * terrain.rows),
      }
      const i = cell.row * terrain.cols + cell.col
      if (Math.hypot(cell.col - position.col, cell.row - position.row) < 2) continue
      const target = { ...locator.toLatLon(cell), label: 'target', heightM }
      const profile = pathProfile(terrain, launch, target, VIDEO_LINK)
      links.forEach(({ radio, lossDb, frequencyMhz }, k) => {
        const exact = deltaBullington(
          {
            distanceM: profile.samples.distanceM,
            surfaceM: profile.samples.surfaceM,
            fromAmslM: profile.from.antennaAmslM,
            toAmslM: profile.to.antennaAmslM,
            effectiveRadiusM: VIDEO_LINK.kFactor * EARTH_RADIUS_M,
            ownGroundM: OWN_GROUND_CELLS * terrain.cellM,
          },
          radio,
        ).totalDb
        off[k].push(
          Math.abs(
            lossDb[i] -
              exact -
              freeSpaceLossDb(geometryOfPath(profile, VIDEO_LINK.kFactor).slantM, frequencyMhz),
          ),
        )
      })
    }
    off.forEach((each, k) => {
      each.sort((a, b) => a - b)
      const within = each.filter((db) => db <= 0.5).length / each.length
      console.log(
        `${name} from (${x}, ${y}), ${[5800, 868][k]} MHz: ${(100 * within).toFixed(1)} % within 0.5 dB, 99 % within ${each[Math.floor(0.99 * each.length)].toFixed(2)} dB, worst ${each[each.length - 1].toFixed(1)} dB`,
      )
      expect(within).toBeGreaterThanOrEqual(0.99)
    })
  })
})
