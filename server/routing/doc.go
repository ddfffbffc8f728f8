// Package routing asks an operator's own routing service for the length of a way
// by road.
//
// The service is named by a URL with the four coordinates in braces,
//
//	https://routes.example.org/route/v1/driving/{fromLng},{fromLat};{toLng},{toLat}?overview=false
//
// and answers a GET with JSON, of which this is read:
//
//	{"code": "Ok", "routes": [{"distance": 416012.3}]}
//
// The distance is that of the first route, in metres. A code that is there and is
// not "Ok" says that there is no route. Other fields are passed over. That is the
// shape that the HTTP interface of OSRM answers with, and that of several others.
//
// What it promises:
//
//   - Only the points of towns are sent, never an address.
//   - An answer takes no longer than Patience. After three failures in a row
//     the service is let be for half a minute.
//   - An answer that cannot be is a failure: a way shorter than the great circle,
//     or out of all proportion to it.
//   - What was answered is remembered for a day, and is the same from either end.
package routing
