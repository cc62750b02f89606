import type { Store } from '../../core/host'
import { STORE_HEADER, STORE_PATH } from '../../core/storeAddress'

/** Where a browser host says that it serves a store. */
const NAME = 'browser-host'
const PATIENCE_MS = 1500

/** Says where a store is served, for those that start later. */
export async function announceHost(store: Store, url: string): Promise<void> {
  await store.write(NAME, `${url} ${process.pid} ${Date.now()}`)
}

/** Address at which this very store is served already; null where it is not. */
export async function runningHost(store: Store): Promise<string | null> {
  try {
    const announced = await store.read(NAME)
    if (announced === null) return null
    const [url] = announced.split(' ')
    const answer = await fetch(new URL(STORE_PATH + NAME, url), {
      headers: { [STORE_HEADER]: '1' },
      signal: AbortSignal.timeout(PATIENCE_MS),
    })
    return answer.ok && (await answer.text()) === announced ? url : null
  } catch {
    // Nobody is there any more, or somebody else.
    return null
  }
}
