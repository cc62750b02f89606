/**
 * Best time of each work over several runs, milliseconds: what the machine can do when left
 * alone. The works take turns, so that all meet the same machine.
 */
export async function bestInTurns(runs: number, ...works: (() => unknown)[]): Promise<number[]> {
  const best = works.map(() => Infinity)
  for (let run = 0; run < runs; run++) {
    for (const [i, work] of works.entries()) {
      const start = performance.now()
      await work()
      best[i] = Math.min(best[i], performance.now() - start)
    }
  }
  return best
}

/** A line of a bench: what was measured, and its ratio to a reference of the same run. */
export function report(
  what: string,
  ms: number,
  reference?: { what: string; ms: number } | null,
): void {
  const ratio = reference
    ? `, ${(ms / reference.ms).toFixed(2)} times ${reference.what} (${reference.ms.toFixed(1)} ms)`
    : ''
  console.log(`${what}: ${ms.toFixed(1)} ms${ratio}`)
}
