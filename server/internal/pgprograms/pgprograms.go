// Package pgprograms finds the programs of a PostgreSQL server on this machine,
// for those who start one of their own.
package pgprograms

import (
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
)

// Where says where Dir looks.
const Where = "PATH or " + debian

// debian is where Debian keeps them, off PATH, each version in its folder.
const debian = "/usr/lib/postgresql/*/bin"

// Dir is the folder of the programs, those of the latest version if there are
// several; false if there are none.
func Dir() (string, bool) {
	if path, err := exec.LookPath("initdb"); err == nil {
		return filepath.Dir(path), true
	}
	found, _ := filepath.Glob(debian + "/initdb")
	if len(found) == 0 {
		return "", false
	}
	return filepath.Dir(slices.MaxFunc(found, func(a, b string) int { return version(a) - version(b) })), true
}

func version(initdb string) int {
	n, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(initdb))))
	return n
}
