// Package photo makes of a picture file what a registry keeps of it: the picture
// and a thumbnail, encoded anew from the pixels.
//
// It promises that nothing of the file but its pixels is in what it makes, neither
// place nor time nor camera; that the picture stands the way up that the file says;
// and that a file is refused, before it is decoded, that would take more memory
// than a photo may. A picture of 25 million pixels mostly takes some 100 MB while it
// is worked on, and in the worst form (progressive, no colour left out) four times
// that: work on one at a time.
package photo
