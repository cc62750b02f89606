import type { ComponentChildren } from 'preact'
import { useSignal } from '@preact/signals'
import { beginInTheMiddle } from '../state/demo'
import { openTerrain } from '../state/site'
import { notice } from '../state/work'

/** The whole window takes a dropped terrain file. */
export function FileDrop({ children }: { children: ComponentChildren }) {
  const over = useSignal(false)
  const holdsFiles = (event: DragEvent) => event.dataTransfer?.types.includes('Files') ?? false
  return (
    <div
      class="window"
      onDragOver={(event) => {
        if (!holdsFiles(event)) return
        event.preventDefault()
        over.value = true
      }}
      onDragLeave={(event) => {
        if (event.relatedTarget === null) over.value = false
      }}
      onDrop={(event) => {
        if (!holdsFiles(event)) return
        event.preventDefault()
        over.value = false
        const files = [...(event.dataTransfer?.files ?? [])]
        if (files.length > 1) {
          notice.value = `${files.length} files were dropped; a site is made of one terrain file in this version.`
        } else if (files.length === 1) {
          void openTerrain({ name: files[0].name, blob: files[0] }, beginInTheMiddle)
        }
      }}
    >
      {children}
      {over.value && <div class="drop-hint">Drop the elevation model here</div>}
    </div>
  )
}
