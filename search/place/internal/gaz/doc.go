// Package gaz is the gazetteer's file: how place names are folded for
// comparison, how the file is laid out, and how it is written and searched.
//
// The file is searched where it lies. Opening it checks only the header; a
// lookup is a binary search that decodes a few dozen names, so a program that
// looks up one town pays for one town. What is written depends only on what was
// given, so the same sources always make the same bytes.
package gaz
