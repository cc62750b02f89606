import { useEffect, useRef } from 'preact/hooks'
import { say } from '../../core/words/say'
import { HELP_TOPICS, helpAt } from '../state/help'
import { ModalSheet } from './ModalSheet'

/** What each section of the panel is for, open at the one that was asked about. */
export function HelpSheet() {
  return helpAt.value !== null && <Help at={helpAt.value} />
}

function Help({ at }: { at: string }) {
  const close = () => (helpAt.value = null)
  const text = useRef<HTMLDivElement>(null)
  const goTo = (title: string) => {
    const heading = [...(text.current?.querySelectorAll('h3') ?? [])].find(
      (each) => each.textContent === title,
    )
    heading?.scrollIntoView({ block: 'start' })
    heading?.focus()
  }
  useEffect(() => goTo(at), [at])
  return (
    <ModalSheet
      class="guide"
      title={say('help.help')}
      onClose={close}
      foot={
        <button type="button" class="primary" onClick={close}>
          {say('common.close')}
        </button>
      }
    >
      <div class="help">
        <nav aria-label={say('help.topics')}>
          <ul>
            {HELP_TOPICS.map(({ title }) => (
              <li key={title}>
                <button type="button" class="link" onClick={() => goTo(say(title))}>
                  {say(title)}
                </button>
              </li>
            ))}
          </ul>
        </nav>
        <div class="sheet-text" ref={text} tabIndex={0} aria-label={say('help.help')}>
          <p>{say('help.beginning')}</p>
          {HELP_TOPICS.map(({ title, text: topic }) => (
            <section key={title}>
              <h3 tabIndex={-1}>{say(title)}</h3>
              {say(topic)
                .split('\n')
                .map((paragraph) => (
                  <p key={paragraph}>{paragraph}</p>
                ))}
            </section>
          ))}
        </div>
      </div>
    </ModalSheet>
  )
}
