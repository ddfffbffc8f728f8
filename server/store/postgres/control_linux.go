package postgres

import (
	"errors"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// longestUnheard is how long what was sent may stay without a sign that it
// arrived. Without it Linux would try for a quarter of an hour.
const longestUnheard = 5 * time.Second

func control(network, _ string, c syscall.RawConn) error {
	if network == "unix" {
		return nil
	}
	var failed error
	err := c.Control(func(fd uintptr) {
		failed = unix.SetsockoptInt(int(fd), unix.IPPROTO_TCP, unix.TCP_USER_TIMEOUT, int(longestUnheard.Milliseconds()))
	})
	return errors.Join(err, failed)
}
