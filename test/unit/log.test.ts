import { describe, expect, test } from 'vitest'
import { fitCurrent, airspeedOf, chargeAlong, currentAlong } from '../../core/log/currentFit'
import { language } from '../../core/words/language'
import { calibratedAircraft, calibratedLink, flownName } from '../../core/log/calibrated'
import { beginsAtRest, motionOf, type FlightLog } from '../../core/log/flightLog'
import { readGpxLog } from '../../core/log/logGpx'
import { guessMapping, readLog, readLogTable, type LogMapping } from '../../core/log/logTable'
import { NO_WAY, predictAlong } from '../../core/log/predicted'
import { robustFit } from '../../core/log/robust'
import { compareByKind, fitSignal } from '../../core/log/signalFit'
import { windTriangle } from '../../core/energy/wind'
import { waypointAt } from '../../core/route/route'
import { siteOf } from '../../core/surface/site'
import { GridLocator } from '../../core/terrain/grid'
import { logCsv, plannedFlight, recorded, type Truth } from '../support/madeLog'
import { madeTerrain } from '../support/madeTerrain'
import { planOn } from '../support/plans'

/** A gentle slope, and a hill in the east that hides what is behind it. */
const terrain = madeTerrain(240, 20, (east, north) => {
  const hill = 260 * Math.exp(-((east - 1500) ** 2 + north ** 2) / (2 * 160 ** 2))
  return 400 + east / 50 + north / 100 + hill
})
const locator = new GridLocator(terrain)
const at = (east: number, north: number, heightM: number) =>
  waypointAt(locator.toLatLon({ col: 119.5 + east / 20, row: 119.5 - north / 20 }), heightM)

/** Four minutes in clear sight, and a while behind the hill. */
const plan = (() => {
  const base = planOn(terrain)
  const launch = at(0, 0, 0)
  return {
    ...base,
    launch: { latDeg: launch.latDeg, lonDeg: launch.lonDeg },
    battery: { ...base.battery, capacityMah: 20_000 },
    route: {
      ...base.route,
      waypoints: [at(-300, 900, 70), at(-1500, 700, 70), at(-1200, -900, 70), at(1000, -1000, 70), at(1900, 0, 40)], // prettier-ignore
      endsAtLaunch: true,
    },
  }
})()
const site = siteOf(terrain, plan, null)

const TRUTH: Truth = {
  excessDb: 6.5,
  noiseDb: 2.5,
  currentFactor: 1.12,
  currentNoise: 0.08,
  seed: 7,
}

const asPlanned = plannedFlight(site, plan, 0.5)

/** Writes a made flight as CSV and reads it as the window would. */
function flown(truth: Truth): FlightLog {
  const text = logCsv(recorded(asPlanned, truth))
  const { flights, remarks } = readLog(
    text,
    'made.csv',
    guessMapping(readLogTable(text, 'made.csv')),
  )
  expect(flights).toHaveLength(1)
  expect(remarks).toEqual([])
  return flights[0]
}

describe('calibration', () => {
  test('predictions along a log are those of whole profiles', () => {
    const log = flown({ ...TRUTH, excessDb: 0, noiseDb: 0, floorDbm: -149 })
    const predicted = predictAlong(site, plan, log, 'video', false, 3)
    let worst = 0
    log.signalDbm.forEach((measured, i) => {
      if (Number.isNaN(measured) || measured < -148) return
      worst = Math.max(worst, Math.abs(predicted.levelDbm[i] - measured))
    })
    // Logged levels are rounded to 0.01 dB, positions to a centimetre.
    expect(worst).toBeLessThan(0.3)
    const kinds = compareByKind(log, predicted)
    expect(kinds.map(({ kind }) => kind)).toEqual(['clear', 'obstructed', 'blocked'])
    expect(kinds[0].count).toBeGreaterThan(400)
    expect(kinds[2].count).toBeGreaterThan(20)
  })

  test.each([
    ['plain noise', TRUTH],
    ['noise that lasts', { ...TRUTH, correlation: 0.8, seed: 11 }],
    ['a fifth of the levels dropped out', { ...TRUTH, dropShare: 0.2, seed: 13 }],
    ['a fifth of the levels too high', { ...TRUTH, dropShare: 0.2, dropsRise: true, seed: 17 }],
    ['less loss than computed', { ...TRUTH, excessDb: -3, seed: 19 }],
    ['drop-outs and lasting noise', { ...TRUTH, dropShare: 0.2, correlation: 0.6, seed: 23 }],
  ])('the excess loss comes back: %s', (_name, truth) => {
    const log = flown(truth)
    const predicted = predictAlong(site, plan, log, 'video', false, 3)
    const fit = fitSignal(log, predicted, plan, plan.video)
    expect(fit.from).toEqual(['clear'])
    expect(fit.low).toBeLessThan(truth.excessDb)
    expect(fit.high).toBeGreaterThan(truth.excessDb)
    expect(fit.high - fit.low).toBeLessThan(3)
    expect(fit.scatter / truth.noiseDb).toBeGreaterThan(0.85)
    expect(fit.scatter / truth.noiseDb).toBeLessThan(1.2)
    expect(Math.abs(fit.outlierShare - (truth.dropShare ?? 0))).toBeLessThan(0.05)
  })

  // Made series: a known middle, noise that lasts so many seconds, a fifth dropped out.
  test.each([
    ['10 min at 1 Hz, plain noise', 600, 1, 0],
    ['10 min at 2 Hz, noise of 5 s', 600, 2, 5],
    ['10 min at 10 Hz, noise of 10 s', 600, 10, 10],
    ['20 min at 5 Hz, noise of 30 s', 1200, 5, 30],
    ['4 min at 10 Hz, noise of 5 s', 240, 10, 5],
  ])('95 %% intervals hold the truth in most of 40 flights: %s', (_name, seconds, hertz, lasts) => {
    const rho = lasts > 0 ? Math.exp(-1 / (lasts * hertz)) : 0
    let held = 0
    for (let flight = 0; flight < 40; flight++) {
      let state = flight * 7919 + 1
      const random = () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647
      const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random())
      let noise = normal()
      const count = seconds * hertz
      const values = Float64Array.from({ length: count }, () => {
        noise = rho * noise + Math.sqrt(1 - rho * rho) * normal()
        return 4 + 2 * noise + (random() < 0.2 ? 15 + 10 * random() : 0)
      })
      const timeS = Float64Array.from({ length: count }, (_, i) => i / hertz)
      const { low, high } = robustFit({ timeS, values })
      if (low <= 4 && high >= 4) held++
    }
    // 95 % of 40 are 38; fewer than 33 would be chance once in five hundred times.
    expect(held).toBeGreaterThanOrEqual(33)
  })

  test('standing on the ground and a receiver at its bounds make no difference', () => {
    const log = flown({ ...TRUTH, seed: 43 })
    const fitOf = (its: FlightLog) =>
      fitSignal(its, predictAlong(site, plan, its, 'video', false, 3), plan, plan.video)
    const own = fitOf(log)
    // Six minutes beside the launch point before it starts, where a hand covers the antenna.
    const still = 720
    const before = (values: Float64Array, value: number) =>
      Float64Array.from([...new Array<number>(still).fill(value), ...values])
    const idle = {
      ...log,
      timeS: Float64Array.from([...Array(still).keys()].map((i) => i / 2).concat([...log.timeS].map((time) => time + still / 2))), // prettier-ignore
      latDeg: before(log.latDeg, plan.launch.latDeg),
      lonDeg: before(log.lonDeg, plan.launch.lonDeg),
      heightM: before(log.heightM, 400),
      signalDbm: before(log.signalDbm, -95),
      takenMah: before(log.takenMah, 0),
      volts: before(log.volts, 16),
      amps: before(log.amps, 0.3),
    }
    expect(fitOf(idle).value).toBeCloseTo(own.value, 0)
    // A receiver that shows no more than -62 dBm.
    const full = { ...log, signalDbm: log.signalDbm.map((level) => Math.min(-62, level)) }
    expect(Math.abs(fitOf(full).value - TRUTH.excessDb)).toBeLessThan(0.6)
  })

  test('one click later the predictions are those that were measured', () => {
    const log = flown({ ...TRUTH, seed: 29 })
    const fit = fitSignal(log, predictAlong(site, plan, log, 'video', false, 3), plan, plan.video)
    const link = calibratedLink(plan.video, fit, '28 Nov 2026')
    expect(link.name).toBe('Video 5.8 GHz, 200 mW, as flown 28 Nov 2026')
    expect(link.excessLossDb).toBeCloseTo(6.5, 0)
    expect(link.spreadDb).toBeCloseTo(2.5, 0)
    // Fitted again on the new link the excess is the same: it is over the bare computation.
    const again = { ...plan, video: link }
    const second = fitSignal(log, predictAlong(site, again, log, 'video', false, 3), plan, link)
    expect(second.value).toBeCloseTo(fit.value, 9)
    expect(flownName('Mine, as flown 1 May 2025', '2 May 2026')).toBe('Mine, as flown 2 May 2026')
    language.value = 'de'
    expect(flownName('Mine, as flown 1 May 2025', '2. Mai 2026')).toBe(
      'Mine, nach dem Flug 2. Mai 2026',
    )
    expect(flownName('Mein, Flug bei Nacht, nach dem Flug 1. Mai', 'heute')).toBe(
      'Mein, Flug bei Nacht, nach dem Flug heute',
    )
    expect(flownName(plan.video.name, 'heute')).toBe('Video 5,8 GHz, 200 mW, nach dem Flug heute')
    language.value = 'en'
  })

  test('the current of the cruise comes back, with or without voltage, from charge alone', () => {
    for (const part of [{}, { volts: true }, { amps: true }]) {
      const whole = flown({ ...TRUTH, correlation: 0.3, seed: 31 })
      const nothing = whole.volts.map(() => NaN)
      const log = {
        ...whole,
        ...('volts' in part ? { volts: nothing } : {}),
        ...('amps' in part ? { amps: nothing } : {}),
      }
      const fit = fitCurrent(plan, log, predictAlong(site, plan, log, 'video', false, 3))
      expect(Math.abs(fit.value - 1.12)).toBeLessThan(0.03)
      expect(fit.measuredA / fit.plannedA).toBeCloseTo(fit.value, 9)
      expect(fit.spreadShare).toBeLessThan(0.06)
      const aircraft = calibratedAircraft(plan.aircraft, fit, 'today')
      expect(aircraft.cruise[1].currentA).toBeCloseTo(12.5 * fit.value, 1)
      expect(aircraft.name).toBe('Light quadcopter, 4 cells, as flown today')
    }
  })

  test('too little to go by is said', () => {
    const log = flown(TRUTH)
    const predicted = predictAlong(site, plan, log, 'video', false, 3)
    const mute = { ...log, signalDbm: log.signalDbm.map(() => NaN) }
    expect(() => fitSignal(mute, predicted, plan, plan.video)).toThrow(
      /in sight for 0 s of flight, and 60 s are needed/,
    )
    const idle = { ...log, amps: log.amps.map(() => NaN), takenMah: log.amps.map(() => NaN) }
    expect(() => fitCurrent(plan, idle, predicted)).toThrow(
      /has 0 s of level cruise with a current/,
    )
  })
})

describe('prediction', () => {
  test('heights over the start, or put on the ground, begin on it', () => {
    const log = flown(TRUTH)
    const [ground] = predictAlong(site, plan, log, 'video', true, 3).aglM
    expect(ground).toBeCloseTo(0.3, 1)
    // Over its start, at rest or put down: the first height is the ground's.
    const rel = { ...log, heightOver: 'start' as const, heightM: log.heightM.map((h) => h - 400) }
    expect(predictAlong(site, plan, rel, 'video', true, 3).aglM[0]).toBeCloseTo(0.3, 1)
    // A log that begins in the air keeps the height it begins at, over the launch point.
    const { aglM, liftedM } = predictAlong(site, plan, rel, 'video', false, 3)
    expect(aglM[0]).toBeCloseTo(rel.heightM[0], 0)
    expect(liftedM).toBeCloseTo(400, 0)
  })

  test('heights far under the ground are not believed', () => {
    const log = flown(TRUTH)
    const deep = {
      ...log,
      heightM: log.heightM.map((height, i) => (i < 50 ? height - 300 : height)),
    }
    const { underGround, kind } = predictAlong(site, plan, deep, 'video', false, 3)
    expect(underGround).toBe(50)
    expect(kind[10]).toBe(NO_WAY)
  })

  test('off the terrain nothing is known; a flight off it altogether is refused', () => {
    const log = flown(TRUTH)
    const half = { ...log, latDeg: log.latDeg.map((lat, i) => (i % 2 ? lat : lat + 3)) }
    const { kind, levelDbm } = predictAlong(site, plan, half, 'video', false, 3)
    expect([kind[0], levelDbm[0]]).toEqual([NO_WAY, NaN])
    expect(kind[101]).not.toBe(NO_WAY)
    const far = { ...log, latDeg: log.latDeg.map((lat) => lat + 3) }
    expect(() => predictAlong(site, plan, far, 'video', false, 3)).toThrow(/lies off this terrain/)
    const flat = { ...log, heightM: log.heightM.map(() => NaN) }
    expect(() => predictAlong(site, plan, flat, 'video', false, 3)).toThrow(/log has no heights/)
  })

  test('speed through the air undoes the wind triangle', () => {
    for (const [track, airspeed, wind, from] of [
      [40, 14, 6, 250],
      [300, 12, 8, 10],
      [180, 15, 0, 0],
    ]) {
      const { groundSpeedMs } = windTriangle(track, airspeed, wind, from)!
      expect(airspeedOf(groundSpeedMs, track, wind, from)).toBeCloseTo(airspeed, 9)
    }
  })

  test('speed, track and climb of a straight line', () => {
    const count = 100
    const start = { col: 60, row: 60 }
    const places = Array.from({ length: count }, (_, i) =>
      locator.toLatLon({ col: start.col + i * 0.1, row: start.row }),
    )
    const series = (of: (i: number) => number) =>
      Float64Array.from({ length: count }, (_, i) => of(i))
    const log: FlightLog = {
      timeS: series((i) => i * 0.2),
      latDeg: series((i) => places[i].latDeg),
      lonDeg: series((i) => places[i].lonDeg),
      heightM: series((i) => 100 + i * 0.3),
      heightOver: 'sea',
      signalDbm: series(() => NaN),
      isSignalScaled: false,
      takenMah: series(() => NaN),
      volts: series(() => NaN),
      amps: series(() => 10),
      startedAtMs: null,
    }
    const { speedMs, trackDeg, climbMs } = motionOf(log)
    // Two metres every 0.2 s, and 0.3 m up.
    expect(beginsAtRest(log)).toBe(false)
    const still = {
      ...log,
      latDeg: series(() => 41),
      lonDeg: series(() => 166),
      heightM: series(() => 9),
    }
    expect(beginsAtRest(still)).toBe(true)
    expect(speedMs[50]).toBeCloseTo(10, 1)
    expect(trackDeg[50]).toBeCloseTo(90, 0)
    expect(climbMs[50]).toBeCloseTo(1.5, 6)
    // 10 A for 19.8 s are 55 mAh.
    expect(chargeAlong(log)[99]).toBeCloseTo(55, 6)
    // A counter that began before the log, and one that stands still.
    const counted = { ...log, takenMah: series((i) => 500 + i) }
    expect(chargeAlong(counted)[99]).toBe(99)
    expect(chargeAlong({ ...log, takenMah: series(() => 0) })[99]).toBeCloseTo(55, 6)
    const charged = { ...log, amps: log.volts, takenMah: series((i) => (i * 0.2 * 12) / 3.6) }
    expect(currentAlong(charged)[50]).toBeCloseTo(12, 6)
  })
})

describe('tables of logs', () => {
  const rows = (heads: string, line: (i: number) => string, count = 40) =>
    [heads, ...Array.from({ length: count }, (_, i) => line(i))].join('\n')
  const guess = (text: string) => guessMapping(readLogTable(text, 'a.csv'))
  const read = (text: string, change: Partial<LogMapping> = {}) =>
    readLog(text, 'a.csv', { ...guess(text), ...change })

  test('columns and units are guessed from heads and values', () => {
    const text = rows(
      'Date,Time,GPS,GPS alt(m),Rel alt(ft),Sats,RSSI(%),Curr(mA),Vbat(V),Used(mAh)',
      (i) =>
        `2026-11-01,10:00:${String(i).padStart(2, '0')}.500,41.2000 166.3${i},600,${i},12,${90 - i},12000,15.1,${i}`,
    )
    const mapping = guess(text)
    const { columns } = mapping
    expect(columns).toEqual({ time: 1, lat: 2, lon: 2, height: 4, signal: 6, mah: 9, volts: 8, amps: 7 }) // prettier-ignore
    expect(mapping).toMatchObject({
      heightOver: 'start',
      heightUnitM: 0.3048,
      signalUnit: 'percent',
    })
    const [log] = read(text, { percentDbm: [-100, -40] }).flights
    expect(log.timeS[2]).toBeCloseTo(2, 9)
    expect(log.signalDbm[0]).toBeCloseTo(-46, 9)
    expect(log.isSignalScaled).toBe(true)
    expect(log.amps[0]).toBeCloseTo(12, 9)
    expect(log.heightM[10]).toBeCloseTo(3.048, 9)
    expect(log.startedAtMs).toBeNull()
  })

  test('semicolons and decimal commas, ISO times, degrees as whole numbers', () => {
    const text = rows(
      'timestamp;latitude;longitude;altitude;signal level (dBm)',
      (i) =>
        `2026-11-01T10:00:${String(i).padStart(2, '0')}Z;412000000;166300000${i % 10};600,5;-7${i % 10},5`,
    )
    const [log] = read(text).flights
    expect(log.latDeg[0]).toBeCloseTo(41.2, 9)
    expect(log.heightM[0]).toBe(600.5)
    expect(log.signalDbm[3]).toBe(-73.5)
    expect(log.startedAtMs).toBe(Date.UTC(2026, 10, 1, 10))
  })

  test.each([
    ['time_s,latency(ms),lat,lon,BaroTemp(C),altitude(m),rssi', { lat: 2, lon: 3, height: 5 }],
    ['Time,Latitude,Longitude,telemetry_alt,RxBt(V),Capa(mAh)', { height: 3, volts: 4, mah: 5 }],
    ['time,lat,lon,alt,remaining_capacity(mAh),charge(%),power(W)', { mah: null, signal: null }],
    ['timestamp,gps_lat,gps_lon,gps_alt,1RSS(dB),2RSS(dB),Curr(A),VFAS(V)', { signal: 4, amps: 6 }],
  ])('heads that sound alike are told apart: %s', (heads, expected) => {
    const { columns } = guess(rows(heads, (i) => `${i},41.2,41.2,166.3,12,600,-70,5`))
    expect(columns).toMatchObject(expected)
  })

  test('two parts of a time are minutes and seconds; epoch seconds name the day', () => {
    const text = rows('time,lat,lon', (i) => `10:${String(i).padStart(2, '0')},41.2,166.3`)
    expect(read(text).flights[0].timeS[39]).toBe(39)
    const epoch = rows('time,lat,lon', (i) => `${1_790_000_000 + i},41.2,166.3`)
    expect(read(epoch).flights[0].startedAtMs).toBe(1_790_000_000_000)
  })

  test.each([
    ['s', (i: number) => (i * 0.2).toFixed(1), 0.2],
    ['us', (i: number) => String(5e8 + i * 20_000), 0.02],
    ['ms', (i: number) => String(500_000 + i * 200), 0.2],
    ['us', (i: number) => String(5e8 + i * 200_000), 0.2],
  ])('times in %s are known by their steps', (unit, time, step) => {
    const text = rows('t,lat,lon,alt', (i) => `${time(i)},41.2,166.3,600`)
    expect(guess(text).timeUnit).toBe(unit)
    expect(read(text).flights[0].timeS[1]).toBeCloseTo(step, 9)
  })

  test('midnight is passed, a pause and a fresh start begin new flights', () => {
    const clock = rows('time,lat,lon', (i) => {
      const second = 86_390 + i
      const pad = (value: number) => String(value % 60).padStart(2, '0')
      const hours = Math.floor(second / 3600) % 24
      return `${String(hours).padStart(2, '0')}:${pad(Math.floor(second / 60))}:${pad(second)},41.2,166.3`
    })
    expect(read(clock).flights[0].timeS[39]).toBe(39)
    const two = rows('time_s,lat,lon', (i) => `${i < 20 ? i : i - 20},41.2,166.3`)
    const found = read(two)
    expect(found.flights.map(({ timeS }) => timeS.length)).toEqual([20, 20])
    expect(found.remarks).toEqual(['1 times the clock goes back: a new flight begins there.'])
    const paused = rows('time_s,lat,lon', (i) => `${i < 20 ? i : i + 600},41.2,166.3`)
    expect(read(paused).flights).toHaveLength(2)
  })

  test('what cannot be used is left out with a word', () => {
    const text = rows('time_s,lat,lon', (i) => {
      if (i === 3) return 'soon,41.2,166.3'
      if (i === 4) return '4,0,0'
      if (i === 5) return '5,95,166.3'
      return `${i === 9 ? 8 : i},41.2,166.3`
    })
    const { flights, remarks } = read(text)
    expect(flights[0].timeS).toHaveLength(36)
    expect(remarks).toEqual([
      '1 moment without a time is left out.',
      '2 moments without a position are left out.',
      '1 moment no later than the one before is left out.',
    ])
  })

  test.each([
    ['', {}, /no table with a line of heads/],
    ['a,b\n1,2', {}, /no table with a line of heads/],
    ['1,2,3\n4,5,6', {}, /begins with numbers; its first line must name/],
    [rows('x,y,z', () => '1,2,3'), {}, /Choose the columns of time, latitude and longitude/],
    [rows('time,lat,lon', (i) => `${(i * 37) % 100},41,166`, 3000), {}, /times of "a.csv" go backwards [\d,]+ times/], // prettier-ignore
    [rows('time,lat,lon', (i) => `${i},nowhere,166`), {}, /holds no flight: 0 of 40 moments have no time and 40 no position/], // prettier-ignore
    [rows('time,lat,lon,rssi', (i) => `${i},41,166,${i}`), { signalUnit: 'dbm' as const }, /runs from 0 to 39: that is percent, not dBm/], // prettier-ignore
    [rows('time,lat,lon,rssi', (i) => `${i},41,166,${-i}`), { signalUnit: 'percent' as const }, /that is no percent/], // prettier-ignore
    [rows('time,lat,lon,rssi', (i) => `${i},41,166,${i - 800}`), {}, /no receiver has such levels/],
  ])('a clear sentence for what is no log', (text, change, sentence) => {
    expect(() => read(text, change)).toThrow(sentence)
  })

  test('a million moments are thinned, more are refused, in little memory', () => {
    const text = rows('time_ms,lat,lon,alt,rssi', (i) => `${i * 10},41.2,166.3,600,-70`, 1_000_000)
    const { flights, remarks } = read(text)
    expect(flights[0].timeS).toHaveLength(12_000)
    expect(flights[0].timeS[11_999]).toBeGreaterThan(9_990)
    expect(remarks).toEqual(['1 flight is thinned to 12,000 moments.'])
    expect(() => read(`${text}\n10000000,41.2,166.3,600,-70`)).toThrow(
      /more than a million moments/,
    )
  }, 60_000)
})

describe('tracks as logs', () => {
  const gpx = (points: string) =>
    `<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${points}</trkseg></trk></gpx>`
  const point = (i: number, time = `2026-11-01T10:00:${String(i).padStart(2, '0')}Z`) =>
    `<trkpt lat="41.2" lon="166.${30 + i}"><ele>60${i}</ele>${time && `<time>${time}</time>`}</trkpt>`

  test('positions, heights and times', () => {
    const text = gpx(Array.from({ length: 20 }, (_, i) => point(i)).join(''))
    const [log] = readGpxLog(text, 'a.gpx').flights
    expect(log.timeS[19]).toBe(19)
    expect(log.heightM[2]).toBe(602)
    expect(log.startedAtMs).toBe(Date.UTC(2026, 10, 1, 10))
    expect(log.signalDbm[0]).toBeNaN()
  })

  test.each([
    [gpx(''), /holds no recorded track/],
    [gpx(point(1, '') + point(2, '')), /has no times/],
    [gpx(point(1) + point(2)), /holds no flight/],
    ['<!DOCTYPE gpx [<!ENTITY a "b">]><gpx/>', /document type of its own/],
    ['<gpx><trk>', /not whole XML/],
  ])('a clear sentence for what is none', (text, sentence) => {
    expect(() => readGpxLog(text, 'a.gpx')).toThrow(sentence)
  })
})
