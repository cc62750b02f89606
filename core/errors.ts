import { say, type Saying } from './words/say'
import './words/schemaWords'
import { plainNumber } from './words/units'
/**
 * Something the pilot can act on. The message is one whole sentence that says which file or
 * value is meant, what is wrong with it and what to do; hosts and the window show it as it is.
 */
export class PilotError extends Error {
  override readonly name = 'PilotError'
}

/** Throws the standard's own abort reason when the caller has cancelled. */
export function throwIfCancelled(signal: AbortSignal | undefined): void {
  if (signal?.aborted) throw new DOMException('Cancelled.', 'AbortError')
}

/** Throws a PilotError that says what may be. */
export function checkWithin(
  what: Saying,
  value: number,
  [least, most]: readonly [number, number],
  unit: string,
): void {
  if (value >= least && value <= most) return
  const [given, from, to] = [value, least, most].map(plainNumber)
  throw new PilotError(say('errors.giveValue', { what, given, from, to, unit: unit && ` ${unit}` }))
}

/** What a schema found wrong first, as part of a sentence: "its field route.height must be ...". */
export function firstIssue({
  issues,
}: {
  issues: readonly { path: readonly PropertyKey[]; message: string }[]
}): string {
  const [{ path, message }] = issues
  const field =
    path.length > 0 ? say('errors.field', { path: path.map(String).join('.') }) : say('errors.it')
  return `${field} ${message.charAt(0).toLowerCase()}${message.slice(1)}`
}
