import { describe, expect, test } from 'vitest'
import { ClearCounts, classOf, COVERAGE_CLASSES, NO_CLASS } from '../../core/coverage/shares'
import { waypointAt } from '../../core/route/route'
import { History } from '../../renderer/state/history'
import { DEFAULT_SETUP } from '../../renderer/state/setup'
import { stepName } from '../../renderer/state/stepNames'
import {
  formatClearHeight,
  formatDistance,
  formatHeight,
  formatShare,
} from '../../core/words/units'

describe('undo and redo', () => {
  test('go back and forth, and a new change ends the way forth', () => {
    const history = new History('a')
    history.change('b')
    history.change('c')
    history.undo()
    history.undo()
    expect(history.value.value).toBe('a')
    expect(history.canUndo.value).toBe(false)
    history.redo()
    expect(history.value.value).toBe('b')
    history.change('d')
    expect(history.canRedo.value).toBe(false)
    history.undo()
    expect(history.value.value).toBe('b')
  })

  test('take one gesture as one step', () => {
    const history = new History(0)
    for (const height of [1, 2, 3]) history.change(height, 'slider')
    history.endGesture()
    for (const height of [4, 5]) history.change(height, 'slider')
    history.undo()
    expect(history.value.value).toBe(3)
    history.undo()
    expect(history.value.value).toBe(0)
    history.undo()
    expect(history.value.value).toBe(0)
  })
})

describe('steps', () => {
  test('are gone to in either direction, without losing any', () => {
    const history = new History('a')
    for (const next of ['b', 'c', 'd']) history.change(next)
    history.goTo(1)
    expect(history.value.value).toBe('b')
    expect(history.steps.value).toEqual({ values: ['a', 'b', 'c', 'd'], at: 1 })
    history.goTo(3)
    expect(history.value.value).toBe('d')
    history.goTo(7)
    expect(history.value.value).toBe('d')
  })

  test('are called after what was done', () => {
    const one = DEFAULT_SETUP
    const at = { latDeg: 1, lonDeg: 2 }
    const waypoint = waypointAt(at, 60)
    const routed = { ...one, route: { ...one.route, waypoints: [waypoint] } }
    const twice = { ...one, route: { ...one.route, waypoints: [waypoint, waypointAt(at, 70)] } }
    const named = {
      ...one,
      route: { ...one.route, waypoints: [{ ...waypoint, name: 'Col', latDeg: 1.1 }] },
    }
    const wire = {
      name: 'Wire 1',
      kind: 'wire' as const,
      heightM: 20,
      geometry: { type: 'Point' as const, coordinates: [1, 2] },
    }
    expect(stepName(one, { ...one, launch: at })).toBe('move the launch point')
    expect(stepName(one, { ...one, target: at })).toBe('set the target')
    expect(stepName({ ...one, target: at }, one)).toBe('remove the target')
    expect(stepName(one, routed)).toBe('draw the route')
    expect(stepName(routed, twice)).toBe('add a waypoint')
    expect(stepName(routed, named)).toBe('move Col')
    expect(stepName(twice, one)).toBe('clear the route')
    expect(stepName(one, { ...one, obstacles: [wire] })).toBe('add an obstacle')
    expect(stepName({ ...one, obstacles: [wire, wire] }, one)).toBe('remove 2 obstacles')
    const landing = { ...one.landing, hasSnow: true }
    expect(stepName(one, { ...one, landing })).toBe('landing settings')
    expect(stepName(one, { ...one, wind: { ...one.wind, speedMs: 3 } })).toBe('wind')
    const other = { ...one, launch: at, wind: { ...one.wind }, radio: { ...one.radio } }
    expect(stepName(one, { ...other, battery: { ...one.battery }, clearingM: 3 })).toBe(
      'open a plan',
    )
  })
})

describe('words for numbers', () => {
  test('in the units of the pilot', () => {
    expect(formatHeight(1234.4, 'metric')).toBe('1,234 m')
    expect(formatHeight(100, 'feet')).toBe('328 ft')
    expect(formatHeight(-0.2, 'metric')).toBe('0 m')
    expect(formatHeight(NaN, 'metric')).toBe('–')
    // Flown as read, a clear height must still be clear.
    expect(formatClearHeight(60.4, 'metric')).toBe('61 m')
    expect(formatClearHeight(60, 'metric')).toBe('60 m')
    expect(formatClearHeight(30, 'feet')).toBe('99 ft')
    expect(formatDistance(999, 'metric')).toBe('999 m')
    expect(formatDistance(12_345, 'metric')).toBe('12.35 km')
    expect(formatDistance(1609.344, 'feet')).toBe('1.00 mi')
    expect(formatShare(0.1234)).toBe('12.3 %')
    expect(formatShare(NaN)).toBe('–')
  })
})

describe('shares of the classes', () => {
  test.each([0, 4, 20])('equal a count over the cells at every height, error %d m', (errorM) => {
    const fields = {
      sightM: new Float32Array([-80, 10, 30.05, 60, 500, NaN, 2000]),
      fresnelM: new Float32Array([-30, 20, 40, 61, 900, NaN, 3000]),
      edge: new Uint8Array([255, 128, 255, 60, 200, 0, 255]),
    }
    const counts = ClearCounts.of(fields, errorM)
    expect(counts.unanswered).toBe(1)
    for (const height of [0, 9.9, 10, 20, 30, 30.1, 60, 61, 400, 1000]) {
      const tally = COVERAGE_CLASSES.map(() => 0)
      for (let i = 0; i < 7; i++) {
        const found = classOf(fields, i, height, errorM)
        if (found !== NO_CLASS) tally[found]++
      }
      const shares = counts.at(height)
      COVERAGE_CLASSES.forEach((name, i) => expect(shares[name] * 6).toBeCloseTo(tally[i], 9))
      if (errorM === 0) expect(shares.sightUncertain + shares.fresnelUncertain).toBe(0)
    }
  })
})
