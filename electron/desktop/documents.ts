import { randomUUID } from 'node:crypto'
import { APP_ORIGIN, DOCUMENT_FOLDER } from './channels'

/** Documents being laid out, at addresses of the private protocol that nobody can guess. */
export class Documents {
  private readonly texts = new Map<string, string>()

  textOf(token: string): string | undefined {
    return this.texts.get(token)
  }

  /** Has an address for a document while work on it lasts. */
  async during<T>(html: string, work: (url: string) => Promise<T>): Promise<T> {
    const token = randomUUID()
    this.texts.set(token, html)
    try {
      return await work(`${APP_ORIGIN}/${DOCUMENT_FOLDER}${token}`)
    } finally {
      this.texts.delete(token)
    }
  }
}
