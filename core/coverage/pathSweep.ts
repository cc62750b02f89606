import { freeSpaceLossDb } from '../propagation/freeSpace'
import { makeFans, RAYS_A_CALL, type SweepGround } from './fan'
import { writePathCells } from './pathCells'
import { directionOf, geometryOf, type PathField, type PathRequest } from './pathField'
import { castPathRays, NEAR_CELLS, PathBatch } from './pathRays'
import { callsOf, type Call } from './stages'
import { addTouchedZones } from './touchedZone'

/** Widest gap between neighbouring rays, cells: own choice, judged by diffractionField.test.ts. */
const RAY_SPACING_CELLS = 1.55

/**
 * Path losses of links over a whole site at one flying height: free space (Rec. ITU-R P.525) and
 * delta-Bullington diffraction (Rec. ITU-R P.526), consistent with the loss of each path's profile.
 * Every cell lies between two rays. Near the launch point these lie closer than they need: there one
 * goes for those beside it (stages.ts), and they branch off where they are wanted.
 *
 * *Launch side.* The clear height for sight is the horizon slope seen from the launch antenna.
 *
 * *Receiver's side.* With the drop of the curved Earth taken off the ground, the bulge of every path
 * over it is a straight line, so one upper hull of the ray serves receivers at every distance (from
 * the launch antenna's horizon on, as nothing before it is theirs): their horizon is the tangent to it. Each step of a ray keeps the point where it touches for a
 * receiver there, and a cell sees the points of its two rays from its own height: good to the second
 * order, since a tangent turns about its point. The ground that decides on sight bounds the angle
 * from below.
 *
 * *Touched zone.* The few cells in sight whose Fresnel zone is not free look along their own way.
 *
 * *Blocked.* With the angles a and b of the two horizons over the direct line, the equivalent edge
 * stands where they meet, and its nu has the square 2 a b D / lambda: no root, no place to find.
 *
 * *Smooth Earth.* The sums of the straight-line fit grow along the ray. Most paths in mountains lie
 * so high over it that its term is nil, which two short sufficient tests find.
 *
 * Accuracy against the profile: test/reference/diffractionField.test.ts.
 */
export class PathSweep {
  private readonly calls: readonly Call[]
  private readonly batch: PathBatch
  /** Its calls are numbered over all fans, RAYS_A_CALL numbers each. */
  readonly rayCount: number

  /**
   * @param links at least one, see PathRequest
   * @param paths receive what is found for each; cells without an answer are left alone
   */
  constructor(
    private readonly ground: SweepGround,
    private readonly links: readonly PathRequest[],
    private readonly paths: readonly PathField[],
  ) {
    const tasks = links.map(({ task }) => task)
    const fans = makeFans(ground, tasks[0].settings, RAY_SPACING_CELLS)
    this.calls = fans.flatMap((fan) => callsOf(fan, RAY_SPACING_CELLS, NEAR_CELLS))
    this.rayCount = this.calls.length * RAYS_A_CALL
    const stride = Math.max(0, ...fans.map(({ steps }) => steps.length))
    this.batch = new PathBatch(tasks, stride)
  }

  /** Answers the cells of the calls whose numbers begin in from .. to - 1: of all over 0 .. rayCount. */
  run(from: number, to: number): void {
    const { ground, links, batch, paths } = this
    const calls = this.calls.slice(Math.ceil(from / RAYS_A_CALL), Math.ceil(to / RAYS_A_CALL))
    for (const call of calls) {
      castPathRays(ground, call, batch)
      links.forEach((link, k) => {
        const touched = writePathCells(ground, link, call, batch, batch.smoothDb[k], paths[k])
        addTouchedZones(ground, link.task, touched, paths[k])
      })
    }
    if (from <= 0 && to > 0) links.forEach((link, k) => this.writeLaunchCell(link, paths[k]))
  }

  private writeLaunchCell({ fields, task }: PathRequest, paths: PathField): void {
    const { ground } = this
    const { settings, heightM, frequencyMhz } = task
    const i = Math.round(settings.row) * ground.cols + Math.round(settings.col)
    const isSeen = fields.sightM[i] <= heightM
    if (!Number.isNaN(paths.lossDb[i]) || !isSeen) return
    const { slantM, azimuthDeg, elevationDeg } = geometryOf(ground, task, i)
    paths.lossDb[i] = freeSpaceLossDb(slantM, frequencyMhz)
    paths.directions[i] = directionOf(azimuthDeg, elevationDeg)
  }
}
