import { say } from '../../core/words/say'
import { canFinish, cancelDrawing, drawing, finishDrawing, removeLastPoint } from '../state/drawing'

/** What to do while a shape is drawn, over the map. */
export function DrawingBar() {
  const now = drawing.value
  if (!now) return null
  const { what, shape, points } = now
  const count = points.length
  return (
    <div class="drawing-bar" role="status">
      <span>
        <strong>{what}:</strong>{' '}
        {shape === 'point'
          ? say('drawingBar.clickPlaceMap')
          : count === 0
            ? say('drawingBar.clickFirstPointMap')
            : say('drawingBar.clickLastOneAgain', { count })}
        <span class="drawing-keys"> {say('drawingBar.enterMiddleMap')}</span>
      </span>
      {shape !== 'point' && (
        <>
          <button type="button" disabled={!canFinish(now)} onClick={finishDrawing}>
            {say('drawingBar.done')}
          </button>
          <button type="button" disabled={count === 0} onClick={removeLastPoint}>
            {say('drawingBar.takeBack')}
          </button>
        </>
      )}
      <button type="button" onClick={cancelDrawing}>
        {say('common.cancel')}
      </button>
    </div>
  )
}
