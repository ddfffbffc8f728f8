package main

// The drivers of blob stores that --photos can name, beside those that the registry
// itself has.
import _ "gocloud.dev/blob/s3blob" // s3://
