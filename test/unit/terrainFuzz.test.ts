import { expect, test } from 'vitest'
import { fuzz } from '../fuzz/fuzz'

const FIRST_SEED = 1
const COUNT = 300

/** Seeds that once found something: 691 a place so far off the map that the sums had no end. */
test.each([691])(
  'seed %i stays mended',
  async (seed) => {
    expect((await fuzz(seed, 1)).bad).toEqual([])
  },
  60_000,
)

test(`mutated files ${FIRST_SEED} to ${COUNT} are read or refused by a sentence, soon and in little memory`, async () => {
  const { fates, bad } = await fuzz(FIRST_SEED, COUNT)
  expect(bad).toEqual([])
  expect(fates.map(({ seed }) => seed).sort((a, b) => a - b)).toEqual(
    Array.from({ length: COUNT }, (_, i) => FIRST_SEED + i),
  )
  // Neither harmless nor hopeless: both ends are well tried.
  for (const end of ['read', 'refused'] as const) {
    expect(fates.filter((fate) => fate.end === end).length).toBeGreaterThan(COUNT / 8)
  }
}, 120_000)
