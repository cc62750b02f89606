import { fuzz } from './fuzz'

/** `npm run fuzz -- [count] [first seed]`: mutated terrain files, all of them reported on. */
const [count = 5000, from = 1] = process.argv.slice(2).map(Number)
let done = 0
const { fates, bad } = await fuzz(from, count, () => {
  if (++done % 500 === 0) process.stderr.write(`${done} of ${count}\n`)
})
const number = (end: string) => fates.filter((fate) => fate.end === end).length
const slowest = fates.reduce((a, b) => (b.ms > a.ms ? b : a))
const largest = Math.max(...fates.map(({ peakMb }) => peakMb))
console.log(`seeds ${from} to ${from + count - 1}`)
console.log(
  `read ${number('read')}, refused by a sentence ${number('refused')}, crashed ${number('crashed')}`,
)
console.log(`slowest ${slowest.ms.toFixed(0)} ms (seed ${slowest.seed}, ${slowest.recipe})`)
console.log(`most memory of a process ${largest.toFixed(0)} MB`)
for (const { seed, recipe, end, words, ms } of bad) {
  console.log(`BAD seed ${seed} (${recipe}), ${end}, ${ms.toFixed(0)} ms: ${words}`)
}
if (bad.length > 0) process.exitCode = 1
