package place

import (
	"fmt"
	"strconv"
	"strings"
)

// AmbiguousError says that a text means more than one town, none of them so
// much larger than the rest that it must be the one.
type AmbiguousError struct {
	Query string
	// Choices are the towns it may mean, the most populous first.
	Choices []Town
}

// maxListed is how many choices a message spells out.
const maxListed = 10

func (e *AmbiguousError) Error() string {
	labels := choiceLabels(e.Choices)
	more := ""
	if n := len(labels) - maxListed; n > 0 {
		labels = labels[:maxListed]
		more = fmt.Sprintf("; and %d more", n)
	}
	return fmt.Sprintf("%q may be any of %d towns: %s%s. Add the state, county or country.",
		e.Query, len(e.Choices), strings.Join(labels, "; "), more)
}

// choiceLabels writes towns so that no two read alike.
func choiceLabels(towns []Town) []string {
	count := map[string]int{}
	for _, t := range towns {
		count[t.LongLabel()]++
	}
	labels := make([]string, len(towns))
	for i, t := range towns {
		labels[i] = t.LongLabel()
		if count[labels[i]] > 1 {
			labels[i] = t.Label()
		}
	}
	return labels
}

// UnknownError says that the gazetteer has no such town.
type UnknownError struct {
	Query string
	// Near are towns spelt much like the query, the likeliest first.
	Near []Town
	// Instead says what the query does name, if it is not a town: "a state of
	// the United States". Near are then its largest town, and towns that share
	// its name.
	Instead string
}

func (e *UnknownError) Error() string {
	near := quoteLabels(e.Near)
	switch {
	case e.Instead != "" && near != "":
		return fmt.Sprintf("%q is %s. Name a town, as %s.", e.Query, e.Instead, near)
	case e.Instead != "":
		return fmt.Sprintf("%q is %s. Name a town.", e.Query, e.Instead)
	case near != "":
		return fmt.Sprintf("No town found for %q. Did you mean %s? %s", e.Query, near, advice)
	}
	return fmt.Sprintf("No town found for %q. %s", e.Query, advice)
}

const advice = "Add the state or country, or give coordinates, as 39.76,-84.19."

// quoteLabels writes a few towns as one would type them.
func quoteLabels(towns []Town) string {
	var labels []string
	for _, t := range towns[:min(maxNear, len(towns))] {
		labels = append(labels, strconv.Quote(t.Label()))
	}
	if n := len(labels); n > 1 {
		labels = append(labels[:n-2], labels[n-2]+" or "+labels[n-1])
	}
	return strings.Join(labels, ", ")
}

// BadCoordinatesError says that a text reads as coordinates, but of no point on
// the globe.
type BadCoordinatesError struct {
	Query string
}

func (e *BadCoordinatesError) Error() string {
	return fmt.Sprintf("%q is not on the globe. Give the latitude, -90 to 90, and then the longitude, -180 to 180, as 39.76,-84.19.", e.Query)
}
