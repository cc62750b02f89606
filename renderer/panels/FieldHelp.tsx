import { signal } from '@preact/signals'

const sentence = signal('')

/** For the panel's focus events: reads what the field that has the keyboard means. */
export function readFieldHelp({ target }: FocusEvent): void {
  const isField = target instanceof HTMLInputElement || target instanceof HTMLSelectElement
  sentence.value = isField ? target.title : ''
}

/**
 * The sentence on the field that has the keyboard, at the foot of the panel: those who point read
 * it beside the pointer, and those who listen hear it with the field.
 */
export function FieldHelp() {
  return (
    sentence.value && (
      <p class="field-help" aria-hidden="true">
        {sentence.value}
      </p>
    )
  )
}
