// Package deliver carries alerts to seekers beside the inbox: by e-mail and by
// webhook.
//
// What it promises:
//
//   - An alert of a list that has a channel is delivered on it at least once. An
//     outbox entry for it is written in the transaction that moves the cursor, and
//     a dispatch is on record before it is sent: a crash loses none.
//   - A repeat can be told from news: the same dispatch always has the same
//     Message-ID, or the same webhook-id, and an alert is in one dispatch of a
//     channel only.
//   - No e-mail is made or tried in the quiet hours, and none above the most in a
//     day. What comes together goes together: a flood is one digest.
//   - What the other side refuses for good, or has not taken in about three days,
//     lies in the dead-letter box until the operator has it tried again.
//   - Addresses and secrets are in no log and no error.
//
// How an alert goes: follow.go writes outbox entries for it; plan.go says, as a
// pure function, what goes out now and when to look again; pack.go makes
// dispatches of that; claim.go takes one for a while, so that several processes
// may share a store; mail.go or webhook.go sends it; claim.go writes how it ended.
package deliver
