/** Best time of several runs in a row, milliseconds: what the machine can do when left alone. */
export async function bestOf(runs: number, work: () => unknown): Promise<number> {
  let best = Infinity
  for (let run = 0; run < runs; run++) {
    const start = performance.now()
    await work()
    best = Math.min(best, performance.now() - start)
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
