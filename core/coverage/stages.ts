import { RAYS_A_CALL, type Fan } from './fan'

/** A part of the way of all rays of a fan, in which one ray in so many goes for those beside it. */
export interface Stage {
  /** A power of two; one where every ray goes on its own. */
  readonly rays: number
  /** Its steps are from .. to - 1. */
  readonly from: number
  readonly to: number
}

/**
 * The stages of a fan, from the launch point outward: where rays lie closer than they need, only
 * every second, fourth and so on goes. RAYS_A_CALL is a whole number of any stage's rays, so that a
 * fan can be cut into calls of that many, each with the first ray of the next.
 * @param spacingCells widest gap between neighbouring rays that is wanted
 * @param nearCells the first stage goes as far at the least
 */
export function stagesOf(
  { steps, slopeStep }: Fan,
  spacingCells: number,
  nearCells: number,
): readonly Stage[] {
  /** How far so many rays are no wider apart than wanted, cells. */
  const reach = (rays: number) => spacingCells / (rays * slopeStep)
  let rays = 1
  while (2 * rays <= RAYS_A_CALL && reach(2 * rays) >= nearCells) rays *= 2
  const stages: Stage[] = []
  for (let from = 0; rays >= 1; rays /= 2) {
    const beyond = rays > 1 ? steps.findIndex((step) => step > reach(rays)) : -1
    const to = beyond < 0 ? steps.length : beyond
    if (to > from) stages.push({ rays, from, to })
    from = to
  }
  return stages
}
