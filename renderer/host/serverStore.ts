import type { Store } from '../../core/host'
import { STORE_HEADER, STORE_PATH } from '../../core/storeAddress'

/** Requests that outlive their page may be so long, all those under way together. */
const KEEPALIVE_BYTES = 60_000

/** The store of the server that the page came from. */
export const serverStore: Store = {
  list: async () => JSON.parse((await ask('GET', '')) ?? '[]') as string[],
  read: (name) => ask('GET', name),
  write: async (name, text) => void (await ask('PUT', name, text)),
  remove: async (name) => void (await ask('DELETE', name)),
}

async function ask(method: string, name: string, body?: string): Promise<string | null> {
  const bytes = body === undefined ? undefined : new TextEncoder().encode(body)
  const send = (keepalive: boolean) =>
    fetch(STORE_PATH + name, { method, body: bytes, headers: { [STORE_HEADER]: '1' }, keepalive })
  const isShort = (bytes?.length ?? 0) < KEEPALIVE_BYTES
  // Others under way may leave it no room.
  const answer = await (isShort ? send(true).catch(() => send(false)) : send(false))
  if (!answer.ok) throw new Error(`the store answered ${answer.status}`)
  return answer.status === 204 ? null : answer.text()
}
