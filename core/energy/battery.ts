import { checkWithin } from '../errors'
import { monotoneCurve } from './monotoneCurve'

export const CHEMISTRIES = ['lipo', 'liion'] as const
export type Chemistry = (typeof CHEMISTRIES)[number]

/** A pack of cells in series. */
export interface Battery {
  readonly name: string
  readonly chemistry: Chemistry
  readonly cells: number
  readonly capacityMah: number
  /** Share of the capacity that is ever used. */
  readonly usableShare: number
  /** Share of what is usable that must be left after landing. */
  readonly reserveShare: number
  /** Of the pack when it flies. */
  readonly temperatureC: number
  /** Internal resistance of one cell with its share of the wiring, at 20 degrees, milliohm. */
  readonly cellMohm: number
  /** Voltage of a cell under load below which the pack has failed. */
  readonly leastCellV: number
}

export const TYPICAL_BATTERY: Battery = {
  name: '4 cells, 4,000 mAh (typical)',
  chemistry: 'lipo',
  cells: 4,
  capacityMah: 4000,
  usableShare: 1,
  reserveShare: 0.2,
  temperatureC: 15,
  cellMohm: 8,
  leastCellV: 3.3,
}

/** Values a battery may have. Outside them something was mistyped. */
export const BATTERY_LIMITS = {
  cells: [1, 24],
  capacityMah: [50, 100_000],
  usableShare: [0.3, 1],
  reserveShare: [0, 0.8],
  temperatureC: [-30, 60],
  cellMohm: [0, 200],
  leastCellV: [2.2, 4],
} as const

/** Open-circuit voltage of a cell by share left, from memory: common practice, no source. */
const OPEN_CIRCUIT: Readonly<Record<Chemistry, readonly (readonly [number, number])[]>> = {
  lipo: [
    [0, 3.27],
    [0.05, 3.61],
    [0.1, 3.69],
    [0.2, 3.73],
    [0.3, 3.77],
    [0.4, 3.8],
    [0.5, 3.84],
    [0.6, 3.87],
    [0.7, 3.95],
    [0.8, 4.02],
    [0.9, 4.11],
    [1, 4.2],
  ],
  liion: [
    [0, 2.6],
    [0.05, 3.05],
    [0.1, 3.22],
    [0.2, 3.38],
    [0.3, 3.47],
    [0.4, 3.55],
    [0.5, 3.63],
    [0.6, 3.72],
    [0.7, 3.82],
    [0.8, 3.92],
    [0.9, 4.05],
    [1, 4.18],
  ],
}

/**
 * Cold packs give less and resist more. Common practice, no source: some 10 % less capacity at
 * freezing and 25 % less at -15 degrees, resistance doubled by every 20 degrees down.
 */
const CAPACITY_SHARE = monotoneCurve([-30, -15, 0, 20], [0.5, 0.75, 0.9, 1])
const DOUBLING_C = 20
const REFERENCE_C = 20

/** Ampere seconds in a milliampere hour. */
const MAH_AS = 3.6
/** Longest stride of the integration, share of the capacity. */
const STRIDE = 1 / 200

/** A pack as it empties. Charge is counted in mAh taken since it was full. */
export class Pack {
  /** What can be taken in this cold. */
  readonly usableMah: number
  /** What may be taken with the reserve kept. */
  readonly budgetMah: number
  private readonly fullMah: number
  private readonly ohm: number
  private readonly openV: Float64Array

  /** Throws a PilotError that names the first value that cannot be. */
  constructor(private readonly battery: Battery) {
    checkBattery(battery)
    const { chemistry, cells, capacityMah, usableShare, reserveShare, temperatureC } = battery
    this.fullMah = capacityMah * CAPACITY_SHARE(Math.min(REFERENCE_C, temperatureC))
    this.usableMah = this.fullMah * usableShare
    this.budgetMah = this.usableMah * (1 - reserveShare)
    const colder = Math.max(0, REFERENCE_C - temperatureC)
    this.ohm = (cells * battery.cellMohm * 2 ** (colder / DOUBLING_C)) / 1000
    const points = OPEN_CIRCUIT[chemistry]
    const curve = monotoneCurve(
      points.map(([share]) => share),
      points.map(([, volts]) => volts),
    )
    this.openV = Float64Array.from({ length: TABLE + 1 }, (_, i) => cells * curve(i / TABLE))
  }

  /** Share of what is usable that is left. */
  leftShare(takenMah: number): number {
    return 1 - takenMah / this.usableMah
  }

  /** Voltage without load. */
  private openCircuitV(takenMah: number): number {
    const place = Math.min(1, Math.max(0, 1 - takenMah / this.fullMah)) * TABLE
    const i = Math.min(TABLE - 1, place | 0)
    return this.openV[i] + (this.openV[i + 1] - this.openV[i]) * (place - i)
  }

  /**
   * Current at which the pack gives a power, amperes: it rises as the voltage falls. NaN where no
   * current does.
   */
  currentA(powerW: number, takenMah: number): number {
    const volts = this.openCircuitV(takenMah)
    if (this.ohm === 0) return powerW / volts
    return (volts - Math.sqrt(volts * volts - 4 * powerW * this.ohm)) / (2 * this.ohm)
  }

  /** Voltage of the pack under such a load; NaN where it cannot give it. */
  loadedV(powerW: number, takenMah: number): number {
    return this.openCircuitV(takenMah) - this.currentA(powerW, takenMah) * this.ohm
  }

  /** Charge taken after so long at one power, mAh. NaN where the pack gives out. */
  drain(takenMah: number, powerW: number, seconds: number): number {
    let taken = takenMah
    let left = seconds
    while (left > 0) {
      const rate = this.currentA(powerW, taken) / MAH_AS
      const stride = Math.min(left, (STRIDE * this.fullMah) / rate)
      // The middle of the stride stands for all of it.
      const middle = taken + (rate * stride) / 2
      taken += (this.currentA(powerW, middle) / MAH_AS) * stride
      left -= stride
      if (Number.isNaN(taken)) return NaN
    }
    return taken
  }

  /** True while the pack gives this power above its least voltage. */
  holds(powerW: number, takenMah: number): boolean {
    return this.loadedV(powerW, takenMah) >= this.battery.leastCellV * this.battery.cells
  }
}

/** Steps of the open-circuit table. */
const TABLE = 400

function checkBattery(battery: Battery): void {
  checkWithin({ key: 'battery.numberCells' }, battery.cells, BATTERY_LIMITS.cells, '')
  checkWithin(
    { key: 'battery.capacityBattery' },
    battery.capacityMah,
    BATTERY_LIMITS.capacityMah,
    'mAh',
  )
  checkWithin(
    { key: 'battery.usableShareBattery' },
    battery.usableShare,
    BATTERY_LIMITS.usableShare,
    '',
  )
  checkWithin(
    { key: 'battery.reserveBattery' },
    battery.reserveShare,
    BATTERY_LIMITS.reserveShare,
    '',
  )
  checkWithin(
    { key: 'battery.temperatureBattery' },
    battery.temperatureC,
    BATTERY_LIMITS.temperatureC,
    '°C',
  )
  checkWithin(
    { key: 'battery.resistanceCell' },
    battery.cellMohm,
    BATTERY_LIMITS.cellMohm,
    'milliohm',
  )
  checkWithin(
    { key: 'battery.leastVoltageCell' },
    battery.leastCellV,
    BATTERY_LIMITS.leastCellV,
    'V',
  )
}
