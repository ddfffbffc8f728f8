package search

import "errors"

// ErrBusy says that another process has the index open. Try again when it is
// done.
var ErrBusy = errors.New("search: another process has the index open")

// ErrClosed says that the index was closed.
var ErrClosed = errors.New("search: the index is closed")

// ErrDamaged says that the index on disk cannot be read. Rebuild it, or close
// and open it: it is then set aside and begun afresh.
var ErrDamaged = errors.New("search: the index is damaged")
