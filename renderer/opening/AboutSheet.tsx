import { useSignal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { say } from '../../core/words/say'
import { version } from '../../package.json'
import { aboutIsOpen } from '../state/help'
import { ModalSheet } from './ModalSheet'

/** The licence of something that Colsight is made with; see electron/node/licences.ts. */
interface Licence {
  readonly name: string
  readonly version: string
  readonly licence: string
  readonly text: string
}

/** The version, the cautions, and the licences of all that Colsight is made with. */
export function AboutSheet() {
  return aboutIsOpen.value && <About />
}

function About() {
  const close = () => (aboutIsOpen.value = false)
  const licences = useSignal<readonly Licence[] | null>(null)
  const isMissing = useSignal(false)
  useEffect(() => {
    fetch('licences.json')
      .then((answer) => answer.json())
      .then((json: readonly Licence[]) => (licences.value = json))
      .catch(() => (isMissing.value = true))
  }, [])
  return (
    <ModalSheet
      class="guide"
      title={say('about.title', { version })}
      onClose={close}
      foot={
        <button type="button" class="primary" onClick={close}>
          {say('common.close')}
        </button>
      }
    >
      <div class="sheet-text" tabIndex={0} aria-label={say('about.licences')}>
        <p>{say('about.what')}</p>
        <p>{say('side.terrainModelsMissTrees')}</p>
        <h3>{say('about.licences')}</h3>
        <p>{say('about.ownLicence')}</p>
        {isMissing.value && <p class="caution-note">{say('about.missing')}</p>}
        {licences.value?.map(({ name, version: its, licence, text }) => (
          <details key={`${name} ${its}`} class="licence">
            <summary>
              {name} {its} <span class="small">{licence}</span>
            </summary>
            <pre>{text || say('about.noText', { licence })}</pre>
          </details>
        ))}
      </div>
    </ModalSheet>
  )
}
