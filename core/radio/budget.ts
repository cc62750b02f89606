import { freeSpaceLossDb, wavelengthM } from '../propagation/freeSpace'
import { AimedAntenna, peakGainDbi, polarisationLossDb } from './antenna'
import type { TextKey } from '../words/say'
import type { Branch, Link } from './link'

/** Path between the ground antenna and the aircraft, as the budget needs it. */
export interface PathGeometry {
  /** Straight distance, metres. */
  readonly slantM: number
  /** Direction of the aircraft from the ground antenna. */
  readonly azimuthDeg: number
  readonly elevationDeg: number
}

/** One line of a budget: what it is, and what it adds (losses are below zero). */
export interface BudgetItem {
  readonly label: TextKey
  readonly db: number
}

export interface Budget {
  /** From the transmitter's power to the level at the receiver, in order. */
  readonly items: readonly BudgetItem[]
  readonly powerDbm: number
  readonly receivedDbm: number
  /** Level over the receiver's sensitivity. */
  readonly marginDb: number
  /** Index of the ground antenna that does best. */
  readonly branch: number
  /** Equivalent isotropic radiated power at the most, by the transmitting side's best antenna. */
  readonly eirpDbm: number
}

/** Every loss on the way besides free space, dB. */
export interface ExtraLosses {
  readonly diffractionDb: number
  readonly foliageDb: number
}

/** The link toward one place: the best ground antenna, every gain and loss with its figure. */
export function linkBudget(link: Link, geometry: PathGeometry, extra: ExtraLosses): Budget {
  const gains = new LinkGains(link)
  const { azimuthDeg, elevationDeg, slantM } = geometry
  const branch = gains.bestBranch(azimuthDeg, elevationDeg)
  const { antenna, feederLossDb } = link.branches[branch]
  const ground: BudgetItem[] = [
    { label: 'common.groundAntenna', db: gains.groundDbi(branch, azimuthDeg, elevationDeg) },
    { label: 'budget.groundFeeder', db: -feederLossDb },
  ]
  const aircraft: BudgetItem[] = [
    { label: 'budget.aircraftAntenna', db: gains.aircraftDbi(elevationDeg) },
    { label: 'budget.aircraftFeeder', db: -link.aircraft.feederLossDb },
  ]
  const path: BudgetItem[] = [
    { label: 'budget.freeSpace', db: -freeSpaceLossDb(slantM, link.frequencyMhz) },
    { label: 'budget.diffraction', db: -extra.diffractionDb },
    { label: 'budget.foliage', db: -extra.foliageDb },
    {
      label: 'common.polarisation',
      db: -polarisationLossDb(antenna.polarisation, link.aircraft.antenna.polarisation),
    },
    { label: 'common.bodyFrame', db: -link.bodyLossDb },
    { label: 'budget.excessFlown', db: -link.excessLossDb },
  ]
  const [sending, receiving] = link.direction === 'down' ? [aircraft, ground] : [ground, aircraft]
  const items = [...sending.reverse(), ...path, ...receiving]
  const receivedDbm = items.reduce((level, { db }) => level + db, link.powerDbm)
  return {
    items,
    powerDbm: link.powerDbm,
    receivedDbm,
    marginDb: receivedDbm - link.sensitivityDbm,
    branch,
    eirpDbm: eirpDbm(link),
  }
}

/** The most that the transmitting side radiates in any direction. */
export function eirpDbm(link: Link): number {
  const lambda = wavelengthM(link.frequencyMhz)
  const net = ({ antenna, feederLossDb }: Pick<Branch, 'antenna' | 'feederLossDb'>) =>
    peakGainDbi(antenna, lambda) - feederLossDb
  const senders = link.direction === 'down' ? [link.aircraft] : link.branches
  return link.powerDbm + Math.max(...senders.map(net))
}

/** Gains of a link's antennas toward any direction, best ground antenna first. */
export class LinkGains {
  private readonly ground: readonly AimedAntenna[]
  private readonly aircraft: AimedAntenna
  /** Feeder and polarisation losses of each branch, dB. */
  private readonly branchLossDb: readonly number[]

  constructor(private readonly link: Link) {
    const lambda = wavelengthM(link.frequencyMhz)
    this.ground = link.branches.map(({ antenna, aim }) => AimedAntenna.of(antenna, aim, lambda))
    // It flies level; its antenna stands upright or looks down with the aircraft.
    const isUpright = link.aircraft.antenna.kind === 'dipole'
    const aim = { azimuthDeg: 0, tiltDeg: isUpright ? 0 : -90 }
    this.aircraft = AimedAntenna.of(link.aircraft.antenna, aim, lambda)
    this.branchLossDb = link.branches.map(
      ({ antenna, feederLossDb }) =>
        feederLossDb + polarisationLossDb(antenna.polarisation, link.aircraft.antenna.polarisation),
    )
  }

  groundDbi(branch: number, azimuthDeg: number, elevationDeg: number): number {
    return this.ground[branch].gainDbi(azimuthDeg, elevationDeg)
  }

  /** Toward the ground antenna, which sees the aircraft at this elevation. */
  aircraftDbi(elevationDeg: number): number {
    return this.aircraft.gainDbi(0, -elevationDeg)
  }

  bestBranch(azimuthDeg: number, elevationDeg: number): number {
    let [best, most] = [0, -Infinity]
    for (let branch = 0; branch < this.ground.length; branch++) {
      const net = this.groundDbi(branch, azimuthDeg, elevationDeg) - this.branchLossDb[branch]
      if (net > most) [best, most] = [branch, net]
    }
    return best
  }

  /** All gains less all losses that depend on direction, dB, for the best branch. */
  netDb(azimuthDeg: number, elevationDeg: number): number {
    const branch = this.bestBranch(azimuthDeg, elevationDeg)
    return (
      this.groundDbi(branch, azimuthDeg, elevationDeg) -
      this.branchLossDb[branch] +
      this.aircraftDbi(elevationDeg)
    )
  }

  /** `netDb` and `bestBranch` for all pairs, the elevations of an azimuth one after the other. */
  toAll(azimuthsDeg: readonly number[], elevationsDeg: readonly number[]) {
    const count = azimuthsDeg.length * elevationsDeg.length
    const netDb = new Float64Array(count).fill(-Infinity)
    const branches = new Uint8Array(count)
    this.ground.forEach((antenna, its) => {
      const gainsDbi = antenna.gainsDbi(azimuthsDeg, elevationsDeg)
      for (let i = 0; i < count; i++) {
        const net = gainsDbi[i] - this.branchLossDb[its]
        if (net > netDb[i]) [netDb[i], branches[i]] = [net, its]
      }
    })
    const aircraftDbi = elevationsDeg.map((elevationDeg) => this.aircraftDbi(elevationDeg))
    for (let i = 0; i < count; i++) netDb[i] += aircraftDbi[i % aircraftDbi.length]
    return { netDb, branches }
  }

  /** Margin without path loss and antennas, dB: power less fixed losses over the sensitivity. */
  get fixedDb(): number {
    const { powerDbm, aircraft, bodyLossDb, excessLossDb, sensitivityDbm } = this.link
    return powerDbm - aircraft.feederLossDb - bodyLossDb - excessLossDb - sensitivityDbm
  }
}
