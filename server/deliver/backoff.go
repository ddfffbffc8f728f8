package deliver

import "time"

// The schedule of tries. The first pause is a minute, each is three times the
// one before, and none is longer than 12 hours; each is then made up to a fifth
// shorter or longer by chance, so that what failed together does not come back
// together. After the last try a dispatch is dead. The pauses are about 1, 3, 9
// and 27 minutes, 1 h 21, 4 h 3, and five times 12 hours: two days and 18 hours
// in all.
const (
	mostTries  = 12
	firstPause = time.Minute
	grow       = 3
	mostPause  = 12 * time.Hour
	jitter     = 0.2
)

// pause is how long to wait after so many failed tries, 1 or more. chance is in
// [0, 1).
func pause(tries int, chance float64) time.Duration {
	p := firstPause
	for range tries - 1 {
		if p = p * grow; p >= mostPause {
			p = mostPause
			break
		}
	}
	return time.Duration(float64(p) * (1 + jitter*(2*chance-1)))
}
