import type { ComponentChildren } from 'preact'
import { useSignal } from '@preact/signals'
import { terrainAmong } from '../host/pickedFiles'
import { lookAtFiles, opening } from '../state/opening'
import { openPlan } from '../state/planFile'
import { notice } from '../state/work'

/** The whole window takes dropped terrain files, or a plan. */
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
        void openDropped([...(event.dataTransfer?.files ?? [])])
      }}
    >
      {children}
      {over.value && <div class="drop-hint">Drop elevation models here</div>}
    </div>
  )
}

async function openDropped(files: readonly File[]): Promise<void> {
  const plan = files.find(({ name }) => /\.(geo)?json$/i.test(name))
  if (plan) {
    await openPlan({ name: plan.name, text: await plan.text() })
    return
  }
  const open = opening.peek()
  const sources = await terrainAmong(files, open && !open.isAgain ? open.request.sources : [])
  if (files.length > 0 && sources.length === 0) {
    notice.value =
      'No elevation model was among what was dropped; drop the GeoTIFF together with the texts that belong to it.'
  }
  await lookAtFiles(sources)
}
