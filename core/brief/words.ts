import type { CoordinateStyle } from '../geodesy/coordinates'
import type { Plan } from '../plan/plan'
import { say } from '../words/say'
import { formatNumber, type Units } from '../words/units'

export const PAPERS = ['a4', 'letter'] as const
export type Paper = (typeof PAPERS)[number]

/** How a brief speaks. */
export interface BriefWords {
  readonly units: Units
  readonly coordinateStyle: CoordinateStyle
  readonly paper: Paper
  /** Heading. */
  readonly title: string
  /** When it was made, for people. */
  readonly madeAt: string
}

/** A direction in three figures, as a compass has it. */
export function degreesWords(degrees: number): string {
  const whole = Math.round(((degrees % 360) + 360) % 360) % 360
  return `${String(whole).padStart(3, '0')}°`
}

/** An angle up or down. */
export function tiltWords(degrees: number): string {
  const words = formatNumber(degrees, 0)
  return `${degrees >= 0.5 ? '+' : ''}${words}°`
}

/** Letters of landing areas: A to Z, then A2 and so on. */
export function areaLetter(index: number): string {
  const letter = String.fromCharCode(65 + (index % 26))
  return index < 26 ? letter : `${letter}${Math.floor(index / 26) + 1}`
}

/** Heading of a brief: the pilot's, else the name of the plan's file without its ending. */
export function titleOf({ brief }: Pick<Plan, 'brief'>, planName: string): string {
  return brief.title.trim() || plainName(planName) || say('common.plan')
}

/** The name of a plan's file without its ending. */
export function plainName(fileName: string): string {
  return fileName.replace(/\.(geo)?json$/i, '')
}
