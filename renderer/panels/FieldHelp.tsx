import { signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'

const sentence = signal('')
/** True while the keyboard goes from field to field, false once the pointer has pressed. */
let isByKeyboard = false

/** For the panel's focus events: reads what the field that has the keyboard means. */
export function readFieldHelp(target: EventTarget | null): void {
  const isField = target instanceof HTMLInputElement || target instanceof HTMLSelectElement
  sentence.value = isField && isByKeyboard ? target.title : ''
}

/**
 * The sentence on the field that the keyboard has come to, at the foot of the panel: those who
 * point read it beside the pointer, and those who listen hear it with the field.
 */
export function FieldHelp() {
  useEffect(() => {
    const onKey = ({ key }: KeyboardEvent) => (isByKeyboard ||= key === 'Tab')
    const onPointer = () => {
      isByKeyboard = false
      sentence.value = ''
    }
    window.addEventListener('keydown', onKey, true)
    window.addEventListener('pointerdown', onPointer, true)
    return () => {
      window.removeEventListener('keydown', onKey, true)
      window.removeEventListener('pointerdown', onPointer, true)
    }
  }, [])
  return (
    sentence.value && (
      <p class="field-help" aria-hidden="true">
        {sentence.value}
      </p>
    )
  )
}
