import type { ComponentChildren } from 'preact'
import { useEffect, useId, useRef } from 'preact/hooks'
import { say } from '../../core/words/say'
import { askedSection } from '../state/firstSteps'
import { helpAt } from '../state/help'

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
  const part = useRef<HTMLDetailsElement>(null)
  const asked = askedSection.value
  useEffect(() => {
    if (asked?.title !== title || !part.current) return
    part.current.open = true
    part.current.scrollIntoView({ block: 'start' })
    part.current.querySelector('summary')?.focus()
  }, [asked])
  return (
    <details class="section" open={open} aria-labelledby={id} ref={part}>
      <summary>
        <h2 id={id}>{title}</h2>
        {summary && <span class="section-summary">{summary}</span>}
      </summary>
      <button
        type="button"
        class="section-help"
        aria-label={say('help.about', { title })}
        title={say('help.about', { title })}
        onClick={() => (helpAt.value = title)}
      >
        ?
      </button>
      <div class="section-body">{children}</div>
    </details>
  )
}
