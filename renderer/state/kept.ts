import { effect, type Signal } from '@preact/signals'
import { host } from '../host/host'

const loads: (() => Promise<void>)[] = []

/**
 * Lets a value outlive the program: it is loaded before the window shows and written whenever it
 * changes.
 * @param revive makes a value of what was written once; what it throws leaves the value as it is
 * @param toJson what is written of a value
 */
export function keep<T>(
  name: string,
  value: Signal<T>,
  revive: (json: unknown) => T,
  toJson: (value: T) => unknown = (plain) => plain,
): void {
  loads.push(async () => {
    try {
      const text = await host.store.read(name)
      if (text !== null) value.value = revive(JSON.parse(text))
    } catch {
      // What cannot be read any more is written anew with the next change.
    }
    let isFirst = true
    let writing: Promise<void> = Promise.resolve()
    effect(() => {
      const text = JSON.stringify(toJson(value.value))
      if (isFirst) {
        isFirst = false
        return
      }
      // One after the other, so that the newest is written last.
      writing = writing.then(() => host.store.write(name, text)).catch(() => undefined)
    })
  })
}

/** Loads all that is kept; to be awaited before anything is shown. */
export async function loadKept(): Promise<void> {
  await Promise.all(loads.map((load) => load()))
}
