package client

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
)

// folder is the data folder asked for, or the user's own.
func folder(asked string) (string, error) {
	if asked != "" {
		return asked, nil
	}
	return DataDir()
}

// DataDir is the folder of the user's own registry: heirpress within the folder
// where the system keeps a user's data. XDG_DATA_HOME names that folder, if it is
// set to a full path.
func DataDir() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "heirpress"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", errors.New("there is no home folder to keep a registry in: say --data FOLDER")
	}
	switch runtime.GOOS {
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "heirpress"), nil
	case "windows":
		return filepath.Join(home, "AppData", "Local", "heirpress"), nil
	}
	return filepath.Join(home, ".local", "share", "heirpress"), nil
}
