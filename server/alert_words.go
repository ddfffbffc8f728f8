package server

import (
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/server/record"
	"heirpress/server/store"
)

// readAlert reads an alert as it is told today.
func readAlert(r store.Record) (*pb.Alert, error) {
	a, err := record.Alert(r)
	fillIn(a)
	return a, err
}

// fillIn works out what an alert says of the day on which it is read.
func fillIn(a *pb.Alert) {
	if a != nil {
		notice.Fill(a, time.Now().UTC())
	}
}
