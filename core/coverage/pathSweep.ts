import { freeSpaceLossDb } from '../propagation/freeSpace'
import { forEachCall, makeFans, type Fan, type SweepGround } from './fan'
import { writePathCells } from './pathCells'
import { directionOf, geometryOf, type PathField, type PathRequest } from './pathField'
import { castPathRays, PathBatch } from './pathRays'
import { addTouchedZones } from './touchedZone'

/** Widest gap between neighbouring rays, at the far end of the grid, cells. */
const RAY_SPACING_CELLS = 1.75

/**
 * Path losses of links over a whole site at one flying height: free space (Rec. ITU-R P.525) and
 * delta-Bullington diffraction (Rec. ITU-R P.526), consistent with the loss of each path's profile.
 * Every cell lies between two rays.
 *
 * *Launch side.* The clear height for sight is the horizon slope seen from the launch antenna.
 *
 * *Receiver's side.* With the drop of the curved Earth taken off the ground, the bulge of every path
 * over it is a straight line, so one upper hull of the ray serves receivers at every distance:
 * their horizon is the tangent to it. Each step of a ray keeps the point where it touches for a
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
  private readonly fans: readonly Fan[]
  private readonly batch: PathBatch
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
    this.fans = makeFans(ground, tasks[0].settings, RAY_SPACING_CELLS)
    this.rayCount = this.fans.reduce((sum, fan) => sum + fan.rayCount, 0)
    const stride = Math.max(0, ...this.fans.map(({ steps }) => steps.length))
    this.batch = new PathBatch(tasks, stride)
  }

  /** Answers the cells between rays from - 1 and to - 1: all of them over 0 .. rayCount. */
  run(from: number, to: number): void {
    const { ground, links, batch, paths } = this
    forEachCall(this.fans, from, to, (fan, first, count) => {
      castPathRays(ground, fan, first, count, batch)
      links.forEach((link, k) => {
        const smoothDb = batch.smoothDb[k]
        const touched = writePathCells(ground, link, fan, first, count, batch, smoothDb, paths[k])
        addTouchedZones(ground, link.task, touched, paths[k])
      })
    })
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
