/** What a file says beyond what this program knows, kept to be written again. */
export interface Unknown {
  readonly [member: string]: unknown
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

/**
 * The members of an object that another, which was made from it, does not have, at any depth;
 * undefined where it has all of them. Lists count as wholes.
 */
export function unknownIn(original: unknown, known: unknown): Unknown | undefined {
  if (!isRecord(original) || !isRecord(known)) return undefined
  const members = Object.entries(original).flatMap(([name, value]): [string, unknown][] => {
    if (!Object.hasOwn(known, name)) return [[name, value]]
    const inside = unknownIn(value, known[name])
    return inside ? [[name, inside]] : []
  })
  return members.length > 0 ? Object.fromEntries(members) : undefined
}

/** An object with such members put back; what it has itself counts. */
export function withUnknown<T extends object>(known: T, unknown: Unknown | undefined): T {
  if (!unknown) return known
  const merged: Record<string, unknown> = { ...unknown }
  for (const [name, value] of Object.entries(known)) {
    const other = unknown[name]
    merged[name] = isRecord(value) && isRecord(other) ? withUnknown(value, other) : value
  }
  return merged as T
}
