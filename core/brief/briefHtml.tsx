import { renderToString } from 'preact-render-to-string'
import { BriefDocument } from './BriefDocument'
import { gatherBrief, type BriefTask } from './fieldBrief'
import type { BriefWords } from './words'

/**
 * The field brief as one HTML text that needs nothing beside it.
 * Throws a PilotError where the launch point of the plan has no ground.
 */
export function briefHtml(task: BriefTask, words: BriefWords): string {
  return `<!doctype html>\n${renderToString(<BriefDocument brief={gatherBrief(task)} words={words} />)}\n`
}
