import type { Store } from '../../core/host'
import { STORE_HEADER, STORE_PATH } from '../../core/storeAddress'

/** A request this small outlives the page that sent it. */
const KEEPALIVE_BYTES = 60_000

/** The store of the server that the page came from. */
export const serverStore: Store = {
  list: async () => JSON.parse((await ask('GET', '')) ?? '[]') as string[],
  read: (name) => ask('GET', name),
  write: async (name, text) => void (await ask('PUT', name, text)),
  remove: async (name) => void (await ask('DELETE', name)),
}

async function ask(method: string, name: string, body?: string): Promise<string | null> {
  const answer = await fetch(STORE_PATH + name, {
    method,
    body,
    headers: { [STORE_HEADER]: '1' },
    keepalive: (body?.length ?? 0) < KEEPALIVE_BYTES,
  })
  if (!answer.ok) throw new Error(`the store answered ${answer.status}`)
  return answer.status === 204 ? null : answer.text()
}
