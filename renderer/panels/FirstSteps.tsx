import { say } from '../../core/words/say'
import {
  askedSection,
  beginAgain,
  FIRST_STEPS,
  firstSteps,
  nextStep,
  putAway,
} from '../state/firstSteps'

/** The whole job once, step by step; it follows what is done and can be put away. */
export function FirstSteps() {
  const { done, isAway } = firstSteps.value
  if (isAway) return null
  const next = nextStep.value
  return (
    <section class="first-steps" aria-labelledby="first-steps-title">
      <div class="first-steps-head">
        <h2 id="first-steps-title">{say('firstSteps.firstSteps')}</h2>
        <span>{say('firstSteps.of', { done: done.length, all: FIRST_STEPS.length })}</span>
      </div>
      <ol>
        {FIRST_STEPS.map(({ id, title, words, section }) => {
          const isDone = done.includes(id)
          const isNext = id === next?.id
          return (
            <li key={id} class={isDone ? 'done' : ''} aria-current={isNext ? 'step' : undefined}>
              <span class="step-mark" aria-hidden="true">
                {isDone ? '✓' : ''}
              </span>
              <div>
                <strong>
                  {say(title)}
                  {isDone && <span class="visually-hidden">{say('firstSteps.done')}</span>}
                </strong>
                {isNext && (
                  <>
                    <p>{say(words)}</p>
                    <button
                      type="button"
                      onClick={() => (askedSection.value = { title: say(section) })}
                    >
                      {say('firstSteps.showMeWhere')}
                    </button>
                  </>
                )}
              </div>
            </li>
          )
        })}
      </ol>
      {!next && <p>{say('firstSteps.wholeJobOpenYour')}</p>}
      <div class="row">
        {done.length > 0 && (
          <button type="button" onClick={beginAgain}>
            {say('firstSteps.beginAgain')}
          </button>
        )}
        <button type="button" onClick={putAway}>
          {next ? say('firstSteps.notNow') : say('firstSteps.putAway')}
        </button>
      </div>
    </section>
  )
}
