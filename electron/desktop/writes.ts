/** Writes under way, which the end of the program waits for. */
export class Writes {
  private readonly pending = new Set<Promise<unknown>>()

  get areDone(): boolean {
    return this.pending.size === 0
  }

  add<T>(write: Promise<T>): Promise<T> {
    this.pending.add(write)
    const end = () => void this.pending.delete(write)
    write.then(end, end)
    return write
  }

  async done(): Promise<void> {
    await Promise.allSettled(this.pending)
  }
}
