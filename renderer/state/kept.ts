import { effect, type Signal } from '@preact/signals'
import { z } from 'zod'
import { say } from '../../core/words/say'
import { host } from '../host/host'
import { notice } from './work'

/** A file is tried so often, each time after so many milliseconds more; own choice. */
const MOST_TRIES = 4
const WAIT_MS = 100

/** Tells other windows of the same page what has been written. */
const changes = new BroadcastChannel('colsight-kept')

/** Each says whether what is kept could be read. */
const loads: (() => Promise<boolean>)[] = []

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
    let text: string | null
    try {
      text = await readPatiently(name)
    } catch (error) {
      // What is there but cannot be read must not be written over.
      writing = Promise.reject(error as Error)
      writing.catch(() => undefined)
      return false
    }
    try {
      if (text !== null) value.value = revive(JSON.parse(text))
    } catch {
      // What cannot be read any more makes way for what is written next, but is not lost.
      await host.store.write(`${name}-unread`, text ?? '').catch(() => undefined)
    }
    let known = JSON.stringify(toJson(value.peek()))
    effect(() => {
      const json = JSON.stringify(toJson(value.value))
      if (json === known) return
      known = json
      // One after the other, so that the newest is written last.
      writing = writing
        .catch(() => undefined)
        .then(() => host.store.write(name, json))
        .then(() => changes.postMessage(name))
      writing.catch(() => (notice.value = say('kept.cannotWrite')))
    })
    /** Takes what another window has written. */
    const takeOver = async () => {
      try {
        const theirs = revive(JSON.parse((await host.store.read(name)) ?? ''))
        known = JSON.stringify(toJson(theirs))
        value.value = theirs
      } catch {
        // Then this window goes on with what it has.
      }
    }
    changes.addEventListener('message', ({ data }) => {
      if (data === name) void takeOver()
    })
    return true
  })
  return () => writing
}

/**
 * Lets a list outlive the program, entry by entry: those that this version cannot read are written
 * back as they were.
 * @param revive makes an entry of what was written once; throws where it cannot
 */
export function keepList<T>(
  name: string,
  list: Signal<readonly T[]>,
  revive: (json: unknown) => T,
  toJson: (entry: T) => unknown,
): void {
  let unread: unknown[] = []
  const reviveAll = (json: unknown): T[] => {
    unread = []
    return z
      .array(z.unknown())
      .parse(json)
      .flatMap((entry) => {
        try {
          return [revive(entry)]
        } catch {
          unread.push(entry)
          return []
        }
      })
  }
  keep(name, list, reviveAll, (entries) => [...entries.map(toJson), ...unread])
}

/** Reads again where another program has the file for a moment. */
async function readPatiently(name: string): Promise<string | null> {
  for (let tries = 1; ; tries++) {
    try {
      return await host.store.read(name)
    } catch (error) {
      if (tries === MOST_TRIES) throw error
      await new Promise((resolve) => setTimeout(resolve, tries * WAIT_MS))
    }
  }
}

/**
 * Loads all that is kept; to be awaited before anything is shown.
 * @returns false where some of it could not be read
 */
export async function loadKept(): Promise<boolean> {
  const read = await Promise.all(loads.map((load) => load()))
  return read.every((isRead) => isRead)
}
