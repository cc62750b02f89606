import { killWriters } from './kill'

/** `npm run crash -- [count] [seed]`: processes killed while they save, 200 by default. */
const [count = 200, seed = 1] = process.argv.slice(2).map(Number)
const results = await killWriters(count, seed)
const bad = results.filter(({ said, found }) => found === null || found < said)
const ahead = results.filter(({ said, found }) => found !== null && found > said).length
console.log(`${count} processes killed, seed ${seed}: ${bad.length} broken or older than said`)
console.log(`${ahead} of the texts were written and not yet said to be`)
if (bad.length > 0) process.exitCode = 1
