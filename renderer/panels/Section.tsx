import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'

interface SectionProps {
  readonly title: string
  /** What the section says while it is closed. */
  readonly summary?: string
  /** Open from the start. */
  readonly open?: boolean
  readonly children: ComponentChildren
}

/** A part of the side panel that folds away. */
export function Section({ title, summary, open = false, children }: SectionProps) {
  const id = useId()
  return (
    <details class="section" open={open} aria-labelledby={id}>
      <summary>
        <h2 id={id}>{title}</h2>
        {summary && <span class="section-summary">{summary}</span>}
      </summary>
      <div class="section-body">{children}</div>
    </details>
  )
}
