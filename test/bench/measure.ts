/** Best of several runs, milliseconds: what the machine can do when left alone. */
export function bestOf(runs: number, work: () => void): number {
  let best = Infinity
  for (let run = 0; run < runs; run++) {
    const start = performance.now()
    work()
    best = Math.min(best, performance.now() - start)
  }
  return best
}

/** Best of several runs of each work, taken in turns so that both meet the same machine. */
export function bestInTurns(runs: number, ...works: (() => void)[]): number[] {
  const best = works.map(() => Infinity)
  for (let run = 0; run < runs; run++) {
    works.forEach((work, i) => (best[i] = Math.min(best[i], bestOf(1, work))))
  }
  return best
}

/** A line of a bench: what was measured, and its ratio to a reference of the same run. */
export function report(what: string, ms: number, reference?: { what: string; ms: number }): void {
  const ratio = reference
    ? `, ${(ms / reference.ms).toFixed(2)} times ${reference.what} (${reference.ms.toFixed(1)} ms)`
    : ''
  console.log(`${what}: ${ms.toFixed(1)} ms${ratio}`)
}
