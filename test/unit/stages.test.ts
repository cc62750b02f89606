import { describe, expect, test } from 'vitest'
import { makeFans, RAYS_A_CALL } from '../../core/coverage/fan'
import { stagesOf } from '../../core/coverage/stages'
import { NEAR_CELLS } from '../../core/coverage/pathRays'
import { madeTerrain } from '../support/madeTerrain'
import { groundOf, sweepAll } from '../support/sweepAll'

const SPACING_CELLS = 1.5

describe.each([3, 40, 100, 700, 4000])('stages of the rays over %d cells', (side) => {
  const terrain = madeTerrain(3, 30, () => 0)
  const ground = { ...groundOf(terrain), cols: side, rows: side }
  const { settings } = sweepAll(terrain, { col: 1, row: 1 })
  const fans = makeFans(ground, { ...settings, col: side * 0.3, row: side / 2 }, SPACING_CELLS)

  test('follow on one another from the launch point to the last step', () => {
    for (const fan of fans) {
      const stages = stagesOf(fan, SPACING_CELLS, NEAR_CELLS)
      expect(stages[0].from).toBe(0)
      expect(stages.at(-1)).toMatchObject({ rays: 1, to: fan.steps.length })
      for (const [i, { from }] of stages.slice(1).entries()) expect(from).toBe(stages[i].to)
    }
  })

  test('have rays no farther apart than wanted, and not half as near where fewer would do', () => {
    for (const fan of fans) {
      for (const [i, stage] of stagesOf(fan, SPACING_CELLS, NEAR_CELLS).entries()) {
        const apart = (step: number) => stage.rays * fan.slopeStep * fan.steps[step]
        expect(apart(stage.to - 1)).toBeLessThanOrEqual(SPACING_CELLS * (1 + 1e-12))
        // The first stage goes for as many rays as may be, up to beyond the ground sampled finely.
        const isMost = 2 * stage.rays > RAYS_A_CALL
        const next = i > 0 ? fan.steps[stage.from] : NEAR_CELLS
        if (i > 0 || !isMost)
          expect(2 * stage.rays * fan.slopeStep * next).toBeGreaterThan(SPACING_CELLS)
        expect(RAYS_A_CALL % stage.rays).toBe(0)
      }
    }
  })

  test('branch off only beyond the ground that is sampled finely', () => {
    for (const fan of fans) {
      const [first, ...others] = stagesOf(fan, SPACING_CELLS, NEAR_CELLS)
      if (side >= 700) expect(others.length).toBeGreaterThan(0)
      if (others.length > 0) expect(fan.steps[first.to]).toBeGreaterThan(NEAR_CELLS)
    }
  })
})
