package search

import (
	"os"
	"time"

	"github.com/blevesearch/bleve/v2/index/scorch"
	segment "github.com/blevesearch/scorch_segment_api/v2"
)

// checkSegments holds segment files against their checksums: at once while
// they are small, so that a short-lived program never answers from a damaged
// file, and the rest while the index is already in use.
func (g *generation) checkSegments(snapshot *scorch.IndexSnapshot, checkFirst int64) error {
	paths := segmentPaths(snapshot)
	if totalSize(paths) <= checkFirst {
		return checkFiles(paths, nil)
	}
	snapshot.AddRef() // Keeps the files from being merged away meanwhile.
	g.checks.Go(func() {
		defer func() { _ = snapshot.Close() }()
		select {
		case <-g.closing:
			return
		case <-time.After(checkAfter):
		}
		if err := checkFiles(paths, g.closing); err != nil {
			g.fail(err)
		}
	})
	return nil
}

// checkAfter is how long a great index is in use before its files are read for
// their checksums: whoever has just started heirpress is waiting for an answer.
const checkAfter = time.Second

// checkFiles checks one file after another until it is told to stop.
func checkFiles(paths []string, stop <-chan struct{}) error {
	for _, path := range paths {
		select {
		case <-stop:
			return nil
		default:
		}
		if err := checkSegment(path); err != nil {
			return err
		}
	}
	return nil
}

func segmentPaths(snapshot *scorch.IndexSnapshot) []string {
	var paths []string
	for _, s := range snapshot.Segments() {
		if file, ok := s.Segment().(segment.PersistedSegment); ok {
			paths = append(paths, file.Path())
		}
	}
	return paths
}

func totalSize(paths []string) int64 {
	var total int64
	for _, path := range paths {
		if info, err := os.Stat(path); err == nil {
			total += info.Size()
		}
	}
	return total
}
