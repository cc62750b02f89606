import { writeFile } from 'node:fs/promises'
import { basename } from 'node:path'
import { briefHtml } from '../../core/brief/briefHtml'
import { titleOf, type Paper } from '../../core/brief/words'
import { likelyKind } from '../../core/coverage/uncertainty'
import { PilotError } from '../../core/errors'
import type { CoordinateStyle } from '../../core/geodesy/coordinates'
import type { LatLon } from '../../core/geodesy/earth'
import { readPlan } from '../../core/plan/planFile'
import { whenWords } from '../../core/words/moment'
import type { Units } from '../../core/words/units'
import { groundPictures } from '../node/groundPictures'
import { readSite } from './surface'
import type { TerrainOptions } from './terrain'
import { readText } from './textFile'

export interface BriefOptions extends TerrainOptions {
  readonly plan: string
  readonly out: string
  /** Path of a surface model. */
  readonly surface?: string
  readonly target?: LatLon
  readonly paper: Paper
  readonly units: Units
  readonly positions: CoordinateStyle
}

/** The `brief` command: writes the field brief of a plan; returns what it prints. */
export async function briefCommand(options: BriefOptions): Promise<string> {
  const { out, paper, units, positions, target = null } = options
  const planName = basename(options.plan)
  const { plan } = readPlan(await readText(options.plan, 'a plan'), planName)
  const site = await readSite(options, plan)
  const pictures = await groundPictures(site.terrain, site.surface, plan, plan.video)
  const errorM = plan.errorM ?? likelyKind(site.terrain.cellM).errorM
  const html = briefHtml(
    { site, plan, target, pictures, errorM },
    {
      paper,
      units,
      coordinateStyle: positions,
      title: titleOf(plan, planName),
      madeAt: whenWords(new Date()),
    },
  )
  try {
    await writeFile(out, html)
  } catch (cause) {
    throw new PilotError(
      `"${out}" cannot be written; choose a folder that exists and may be written to.`,
      { cause },
    )
  }
  return `The field brief is in ${out}; print it from a browser, and copy it to the phone.`
}
