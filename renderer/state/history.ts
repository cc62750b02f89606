import { computed, signal, type ReadonlySignal } from '@preact/signals'

/** A value with undo and redo. Changes of one gesture, such as a drag, undo as one. */
export class History<T> {
  private readonly present = signal<T>(undefined as T)
  private readonly past = signal<readonly T[]>([])
  private readonly future = signal<readonly T[]>([])
  private lastGesture: string | null = null

  readonly value: ReadonlySignal<T> = computed(() => this.present.value)
  readonly canUndo: ReadonlySignal<boolean> = computed(() => this.past.value.length > 0)
  readonly canRedo: ReadonlySignal<boolean> = computed(() => this.future.value.length > 0)

  /** All values there are steps between, oldest first, and which of them is the present one. */
  readonly steps = computed(() => ({
    values: [...this.past.value, this.present.value, ...this.future.value],
    at: this.past.value.length,
  }))

  constructor(initial: T) {
    this.present.value = initial
  }

  /**
   * Takes a new value.
   * @param gesture changes in a row with the same name undo together; null stands alone
   */
  change(next: T, gesture: string | null = null): void {
    if (gesture === null || gesture !== this.lastGesture) {
      this.past.value = [...this.past.value, this.present.value]
    }
    this.lastGesture = gesture
    this.future.value = []
    this.present.value = next
  }

  /** Ends a gesture: the next change undoes on its own. */
  endGesture(): void {
    this.lastGesture = null
  }

  undo(): void {
    const previous = this.past.value.at(-1)
    if (previous === undefined) return
    this.past.value = this.past.value.slice(0, -1)
    this.future.value = [this.present.value, ...this.future.value]
    this.present.value = previous
    this.lastGesture = null
  }

  redo(): void {
    const [next, ...rest] = this.future.value
    if (next === undefined) return
    this.future.value = rest
    this.past.value = [...this.past.value, this.present.value]
    this.present.value = next
    this.lastGesture = null
  }

  /** Goes back or on to the value at an index of `steps`. */
  goTo(index: number): void {
    const { values } = this.steps.value
    const value = values[index]
    if (value === undefined) return
    this.past.value = values.slice(0, index)
    this.future.value = values.slice(index + 1)
    this.present.value = value
    this.lastGesture = null
  }

  /** Starts anew: nothing before this value can be undone to. */
  reset(value: T): void {
    this.past.value = []
    this.future.value = []
    this.present.value = value
    this.lastGesture = null
  }
}
