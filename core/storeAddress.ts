/** How the page reaches the store of the browser host. */
export const STORE_PATH = '/store/'
/** A page of another site cannot send a header of its own without being asked first. */
export const STORE_HEADER = 'x-colsight'
