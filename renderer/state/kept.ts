import { effect, type Signal } from '@preact/signals'
import { host } from '../host/host'

const loads: (() => Promise<void>)[] = []

/**
 * Lets a value outlive the program: it is loaded before the window shows and written whenever it
 * changes.
 * @param revive makes a value of what was written once; what it throws leaves the value as it is
 * @param toJson what is written of a value
 * @returns waits until the value is written as it is; throws where that failed
 */
export function keep<T>(
  name: string,
  value: Signal<T>,
  revive: (json: unknown) => T,
  toJson: (value: T) => unknown = (plain) => plain,
): () => Promise<void> {
  let writing: Promise<void> = Promise.resolve()
  loads.push(async () => {
    const text = await host.store.read(name).catch(() => null)
    try {
      if (text !== null) value.value = revive(JSON.parse(text))
    } catch {
      // What cannot be read any more makes way for what is written next, but is not lost.
      await host.store.write(`${name}-unread`, text ?? '').catch(() => undefined)
    }
    let isFirst = true
    effect(() => {
      const json = JSON.stringify(toJson(value.value))
      if (isFirst) {
        isFirst = false
        return
      }
      // One after the other, so that the newest is written last.
      writing = writing.catch(() => undefined).then(() => host.store.write(name, json))
      writing.catch(() => undefined)
    })
  })
  return () => writing
}

/** Loads all that is kept; to be awaited before anything is shown. */
export async function loadKept(): Promise<void> {
  await Promise.all(loads.map((load) => load()))
}
