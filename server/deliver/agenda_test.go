package deliver

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// An agenda does what a plain map of names and times does.
func TestAgenda(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, model := newAgenda(), map[string]time.Time{}
		for range rapid.IntRange(0, 60).Draw(t, "steps") {
			name := rapid.SampledFrom([]string{"a", "b", "c", "d", "e", "f"}).Draw(t, "name")
			when := time.Unix(int64(rapid.IntRange(1, 20).Draw(t, "when")), 0)
			switch rapid.IntRange(0, 3).Draw(t, "step") {
			case 0, 1:
				a.set(name, "of "+name, when)
				model[name] = when
			case 2:
				a.drop(name)
				delete(model, name)
			case 3:
				name, group, ok := a.take(when)
				due := earliest(model)
				if ok != (!due.IsZero() && !due.After(when)) || ok && (!model[name].Equal(due) || group != "of "+name) {
					t.Fatalf("took %q of %q, %v; the model has %v", name, group, ok, model)
				}
				delete(model, name)
			}
			if next := a.next(); !next.Equal(earliest(model)) {
				t.Fatalf("next is %v; the model has %v", next, model)
			}
		}
	})
}

func earliest(of map[string]time.Time) (first time.Time) {
	for _, at := range of {
		first = sooner(first, at)
	}
	return first
}
