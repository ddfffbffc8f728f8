// Package introduce keeps introductions, and what follows from them: the order in
// which a lot was asked for, to whom it is promised, what somebody has given a home,
// and who is kept apart from whom.
//
// It knows nothing of who may do what; the services do.
package introduce
