package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// memory is what a process has of memory, in bytes.
type memory struct{ resident, anonymous, file, peak int64 }

// readMemory reads it from /proc.
func readMemory(pid int) (m memory, err error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return m, err
	}
	return parseMemory(string(text)), nil
}

func parseMemory(status string) (m memory) {
	for line := range strings.Lines(status) {
		name, value, _ := strings.Cut(line, ":")
		n, err := strconv.ParseInt(strings.TrimSuffix(strings.TrimSpace(value), " kB"), 10, 64)
		if err != nil {
			continue
		}
		switch name {
		case "VmRSS":
			m.resident = n << 10
		case "RssAnon":
			m.anonymous = n << 10
		case "RssFile":
			m.file = n << 10
		case "VmHWM":
			m.peak = n << 10
		}
	}
	return m
}

// forgetPeak begins the peak of a process's memory anew.
func forgetPeak(pid int) error {
	return os.WriteFile(fmt.Sprintf("/proc/%d/clear_refs", pid), []byte("5"), 0o200)
}

func (m memory) String() string {
	return fmt.Sprintf("%d MB resident (%d anonymous, %d of files), peak %d MB", m.resident>>20, m.anonymous>>20, m.file>>20, m.peak>>20)
}

// machineLoad is how many processes want a processor: over the last 1, 5 and 15
// minutes. More than there are processors, and every time measured is too long.
func machineLoad() string {
	text, err := os.ReadFile("/proc/loadavg")
	fields := strings.Fields(string(text))
	if err != nil || len(fields) < 3 {
		return "not known"
	}
	return strings.Join(fields[:3], " ")
}

// tick is the unit in which Linux tells processor time to programs: USER_HZ is
// 100 wherever Go runs.
const tick = 10 * time.Millisecond

// The fields of /proc/PID/stat after the name, in which processor time stands: a
// process's own, by itself and by the system for it, and that of its children
// that have ended.
const (
	ownTime      = 11
	childrenTime = 13
)

// readCPU is the processor time that a process has used.
func readCPU(pid int) (time.Duration, error) { return readTime(pid, ownTime) }

// readChildrenCPU is that of its children that have ended.
func readChildrenCPU(pid int) (time.Duration, error) { return readTime(pid, childrenTime) }

func readTime(pid, field int) (time.Duration, error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0, err
	}
	return parseCPU(string(text), field)
}

// parseCPU adds up a field and the one after it. The name, in brackets, may hold
// blanks and brackets.
func parseCPU(stat string, field int) (time.Duration, error) {
	fields := strings.Fields(stat[strings.LastIndex(stat, ")")+1:])
	if len(fields) < field+2 {
		return 0, fmt.Errorf("%q is no process's figures", stat)
	}
	user, err := strconv.ParseInt(fields[field], 10, 64)
	if err != nil {
		return 0, err
	}
	system, err := strconv.ParseInt(fields[field+1], 10, 64)
	return time.Duration(user+system) * tick, err
}

// folderSize is the size of all files in a folder, in bytes. Files that go away
// meanwhile are passed over.
func folderSize(dir string) (total int64) {
	_ = filepath.WalkDir(dir, func(_ string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return nil
		}
		if info, err := entry.Info(); err == nil {
			total += info.Size()
		}
		return nil
	})
	return total
}

// databaseSize is the size of a file of SQLite's and of what lies beside it: its
// log and that one's index.
func databaseSize(path string) (total int64) {
	files, _ := filepath.Glob(path + "*")
	for _, file := range files {
		if info, err := os.Stat(file); err == nil {
			total += info.Size()
		}
	}
	return total
}

// end ends a process in order, and by force if that takes too long. Its end comes
// out of ended.
func end(p *os.Process, ended <-chan error, within time.Duration) error {
	_ = p.Signal(os.Interrupt)
	select {
	case err := <-ended:
		return err
	case <-time.After(within):
		_ = p.Kill()
		return <-ended
	}
}
