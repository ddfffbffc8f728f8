// Package notice says what an alert says: the same words on the command line, in
// an e-mail and on a digest, and the same facts in what a program receives.
//
// It is pure: the day it is comes in from outside.
package notice
