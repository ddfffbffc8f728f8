// Package access knows who calls a registry, what they are to a shop, a wanted
// list or an account, and what they may therefore do.
//
// A newcomer reads it in this order: caller.go (who calls), tie.go (what they are
// to a thing), secret.go (how a token is made and known again), account.go.
//
// What it keeps is in private collections of the store, which no index follows.
// Its functions take a store.Reader or a store.Tx, so that a check and the write
// that it allows are in one transaction: a delegation that is revoked is of no use
// from the next write on.
package access
