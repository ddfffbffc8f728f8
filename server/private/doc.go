// Package private keeps where shops and people really are, and how they are
// reached: apart from all that is public, and encrypted.
//
// What it keeps goes out to nobody but through the services that show it to the
// people it belongs to. No package that reckons a distance, an order, a filter, a
// score, a count, a map or an alert imports this one, and pb.PrivatePoint is not
// pb.Point, so that none of them can be given a private point; a test holds both.
//
// # Keys
//
// A place is sealed with AES-256-GCM (NIST SP 800-38D), with a nonce of its own and
// together with the name of its record, so that no sealed place can be put under
// another name. The key comes from a file. The file may hold several: the first one
// seals, and each opens what it has sealed. It is read anew for every place, so that
// a change of keys needs no restart.
//
// To change keys: put a new one in front (NewKey), seal everything with it anew
// (Reseal), and then drop the old ones (DropOld). The journal and the backups of the
// registry still have what was sealed before, and nobody can read that any more:
// which is also how a place that was deleted is erased for good.
package private
