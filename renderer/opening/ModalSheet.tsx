import type { ComponentChildren } from 'preact'
import { useId, useLayoutEffect, useRef } from 'preact/hooks'

interface ModalSheetProps {
  readonly title: string
  /** Said under the title, such as the name of a file. */
  readonly about?: string
  /** Further classes. */
  readonly class?: string
  readonly onClose: () => void
  readonly children: ComponentChildren
  /** What stands at the bottom: buttons, the main one last. */
  readonly foot: ComponentChildren
}

/** A sheet over the window that wants an answer; Escape leaves it. */
export function ModalSheet(props: ModalSheetProps) {
  const { title, about, onClose, children, foot } = props
  const id = useId()
  const dialog = useRef<HTMLDialogElement>(null)
  // At once: a key that comes before would go by it.
  useLayoutEffect(() => dialog.current?.showModal(), [])
  return (
    <dialog
      ref={dialog}
      class={`sheet ${props.class ?? ''}`}
      aria-labelledby={id}
      onCancel={(event) => {
        // The one who opened it takes it away.
        event.preventDefault()
        onClose()
      }}
    >
      <header class="sheet-head">
        <h2 id={id}>{title}</h2>
        {about && <p>{about}</p>}
      </header>
      {children}
      <footer class="sheet-foot">{foot}</footer>
    </dialog>
  )
}
