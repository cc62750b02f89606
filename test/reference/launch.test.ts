import { expect, test } from 'vitest'
import { LaunchHeat, windowCols, type Target } from '../../core/launch/heat'
import { pathProfile } from '../../core/propagation/path'
import { geometryOfPath, pathBudget } from '../../core/radio/pathBudget'
import { VIDEO_PRESETS } from '../../core/radio/presets'
import { GridLocator, groundAt } from '../../core/terrain/grid'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { seededRandom } from '../support/exactReference'
import { VIDEO_LINK } from '../support/madeTerrain'
import { DEMO_TERRAIN, NO_SHARED_TERRAIN, SAN_GABRIEL_UTM } from '../support/places'
import { groundOf } from '../support/sweepAll'

const LINK = VIDEO_PRESETS[1]

test.skipIf(!DEMO_TERRAIN).each([
  ['the demo massif', DEMO_TERRAIN],
  [SAN_GABRIEL_UTM ? 'the San Gabriel mountains' : NO_SHARED_TERRAIN, SAN_GABRIEL_UTM],
])('heat over %s against profiles from random candidates to every target', async (_, path) => {
  if (!path) return
  const terrain = await readTerrainFile(path)
  const locator = new GridLocator(terrain)
  const random = seededRandom(41)
  const [west, north] = [Math.round(terrain.cols * 0.35), Math.round(terrain.rows * 0.35)]
  const window = { west, north, east: west + 120, south: north + 120 }
  const targets = Array.from({ length: 120 }, (): Target => {
    const place = {
      col: west - 60 + 240 * random(),
      row: north - 60 + 240 * random(),
    }
    return { ...place, amslM: groundAt(terrain, place) + 40 + 160 * random(), weight: 1 }
  })
  const heat = new LaunchHeat(groundOf(terrain), window, {
    antennaHeightM: 2,
    kFactor: VIDEO_LINK.kFactor,
    fresnelFraction: 0.6,
    link: LINK,
    groundCellM: locator.groundCellM({ col: west, row: north }),
  })
  for (const target of targets) heat.add(target)

  const off: number[] = []
  for (let k = 0; k < 60; k++) {
    const cell = {
      col: window.west + Math.floor(121 * random()),
      row: window.north + Math.floor(121 * random()),
    }
    const from = { ...locator.toLatLon(cell), label: 'candidate', heightM: 2 }
    let [sight, fresnel, margin] = [0, 0, 0]
    for (const target of targets) {
      const heightM = target.amslM - groundAt(terrain, target)
      const to = { ...locator.toLatLon(target), label: 'target', heightM }
      const profile = pathProfile(terrain, from, to, VIDEO_LINK)
      if (profile.inSight) sight++
      if (profile.fresnelClear) fresnel++
      // The ground antenna aimed at the target: its best branch at its peak.
      const { azimuthDeg, elevationDeg } = geometryOfPath(profile, VIDEO_LINK.kFactor)
      const aim = { azimuthDeg, tiltDeg: elevationDeg }
      const aimed = { ...LINK, branches: LINK.branches.map((branch) => ({ ...branch, aim })) }
      const budget = pathBudget(profile, aimed, VIDEO_LINK.kFactor, 'solid')
      if (budget.marginDb >= LINK.fadeMarginDb) margin++
    }
    const i = (cell.row - window.north) * windowCols(window) + cell.col - window.west
    off.push(Math.abs(heat.sums.sight[i] - sight) / targets.length)
    off.push(Math.abs(heat.sums.fresnel[i] - fresnel) / targets.length)
    off.push(Math.abs(heat.sums.margin[i] - margin) / targets.length)
  }
  off.sort((a, b) => a - b)
  const mean = off.reduce((sum, each) => sum + each, 0) / off.length
  const at99 = off[Math.floor(off.length * 0.99) - 1]
  console.log(
    `heat: ${(100 * mean).toFixed(2)} % of the targets off in the mean, 99 % within ${(100 * at99).toFixed(1)} %`,
  )
  expect(mean).toBeLessThan(0.01)
  expect(at99).toBeLessThanOrEqual(0.03 + 1e-9)
})
