import L from 'leaflet'

/** A layer that hides some of its markers so that none touch, again at every zoom. */
export abstract class DeclutteredLayer extends L.LayerGroup {
  override onAdd(map: L.Map): this {
    super.onAdd(map)
    map.on('zoomend', this.declutter, this)
    return this
  }

  override onRemove(map: L.Map): this {
    map.off('zoomend', this.declutter, this)
    return super.onRemove(map)
  }

  protected abstract declutter(): void
}
