import type { PathField } from '../coverage/pathField'
import type { ClearFields } from '../coverage/radialSweep'
import { PilotError } from '../errors'
import type { Plan } from '../plan/plan'
import type { Site } from '../surface/site'
import { cellIndex, groundAt } from '../terrain/grid'
import { cellsOfShapes, shapesOnGrid } from '../terrain/shapes'
import { avalancheGround } from './avalanche'
import { levelGround } from './flatGround'
import { footWayTo, type FootWay } from './footWay'
import { groundMargin, pictureShares, type PictureShares } from './landing'
import type { LandingArea } from './landingArea'
import { groundShape } from './slope'
import { say } from '../words/say'
import { checkStart, unwalkable, walkFrom, type WalkField } from './walk'

/** A landing area of a plan with what follows for it from the terrain and the link. */
export interface PlannedArea {
  readonly area: LandingArea
  /** Ground where to put it down, above sea level; NaN without data. */
  readonly groundM: number
  readonly picture: PictureShares
  /** Null where nobody gets on foot, or walkProblem says why it is not known. */
  readonly way: FootWay | null
}

export interface PlannedAreas {
  readonly areas: readonly PlannedArea[]
  /** Why there are no ways on foot; null where there are. */
  readonly walkProblem: string | null
}

/** Clear heights of a launch point, and path losses down at LANDED_HEIGHT_M. */
export interface GroundPictures {
  readonly fields: ClearFields
  readonly paths: PathField
}

/** What follows for the landing areas of a plan. */
export function plannedAreas(
  { terrain, locator }: Site,
  { landing, launch, video }: Pick<Plan, 'landing' | 'launch' | 'video'>,
  { fields, paths }: GroundPictures,
): PlannedAreas {
  if (landing.accepted.length === 0) return { areas: [], walkProblem: null }
  const { heights, cols, rows } = terrain
  const cellM = locator.groundCellM({ col: cols / 2, row: rows / 2 })
  const level = levelGround(heights, cols, cellM)
  const { slopeDeg } = groundShape(heights, cols, rows, cellM)
  const start = cellIndex(terrain, locator.toGrid(landing.roadHead ?? launch))
  let walked: WalkField | null = null
  let walkProblem: string | null = null
  try {
    checkStart(
      start,
      landing.roadHead ? say('common.roadHeadInText') : say('common.launchPointInText'),
      heights,
      level,
    )
    const out = unwalkable(level, slopeDeg, landing.walk)
    walked = walkFrom(heights, cols, rows, start, out, cellM, landing.walk)
  } catch (error) {
    if (!(error instanceof PilotError)) throw error
    walkProblem = error.message
  }
  const snow = landing.hasSnow ? avalancheGround(heights, slopeDeg, cols, rows, cellM) : null
  const margin = groundMargin(video, paths)
  const areas = landing.accepted.map((area): PlannedArea => {
    const cells = Uint32Array.from(
      cellsOfShapes(shapesOnGrid(area.outline, locator), terrain).filter(
        (cell) => !Number.isNaN(heights[cell]),
      ),
    )
    return {
      area,
      groundM: groundAt(terrain, locator.toGrid(area.at)),
      picture: pictureShares({ cells }, fields, margin),
      way: walked && footWayTo({ cells }, walked, terrain, locator, cellM, snow),
    }
  })
  return { areas, walkProblem }
}
