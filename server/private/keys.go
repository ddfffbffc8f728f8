package private

import (
	"bufio"
	"bytes"
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// Keys are the keys in a file. The zero value has none.
type Keys struct {
	// File is where they are. Empty: there are none.
	File string
}

// key is one key with the id by which sealed places name it.
type key struct {
	id  string
	raw []byte
}

const (
	keyBytes = 32
	keyMark  = "heirpress-key"
)

// ErrNoKeys says that the registry was given no file of keys.
var ErrNoKeys = errors.New("private: there is no file of keys")

// A FileError says what is wrong with a file of keys, and nothing that is in it.
type FileError struct {
	// File is its name.
	File string
	// Message says what would be right.
	Message string
}

// Error names the file.
func (e *FileError) Error() string { return fmt.Sprintf("the keys in %s: %s", e.File, e.Message) }

// Check tells whether the file can be used.
func (k Keys) Check() error {
	_, err := k.read()
	return err
}

// read reads the file: the key that seals first, then those that only open.
func (k Keys) read() ([]key, error) {
	if k.File == "" {
		return nil, ErrNoKeys
	}
	info, err := os.Stat(k.File)
	if err != nil {
		return nil, &FileError{k.File, "cannot be read; heirpressd key new makes some"}
	}
	if runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return nil, &FileError{k.File, "others than their owner can read them: chmod 600"}
	}
	text, err := os.ReadFile(k.File)
	if err != nil {
		return nil, &FileError{k.File, "cannot be read"}
	}
	return k.parse(text)
}

func (k Keys) parse(text []byte) ([]key, error) {
	var keys []key
	lines := bufio.NewScanner(bytes.NewReader(text))
	for n := 1; lines.Scan(); n++ {
		fields := strings.Fields(lines.Text())
		if len(fields) == 0 || strings.HasPrefix(fields[0], "#") {
			continue
		}
		one, ok := parseKey(fields)
		if !ok {
			return nil, &FileError{k.File, fmt.Sprintf("line %d is not a key: it has to be %s, an id and 32 bytes in base64", n, keyMark)}
		}
		keys = append(keys, one)
	}
	if len(keys) == 0 {
		return nil, &FileError{k.File, "there are none; heirpressd key new makes one"}
	}
	return keys, lines.Err()
}

func parseKey(fields []string) (key, bool) {
	if len(fields) != 3 || fields[0] != keyMark {
		return key{}, false
	}
	raw, err := base64.StdEncoding.Strict().DecodeString(fields[2])
	return key{id: fields[1], raw: raw}, err == nil && len(raw) == keyBytes
}

// NewKey puts a new key in front of those in a file, which is made if it is not
// there, and returns the key's id.
func (k Keys) NewKey() (string, error) {
	keys, err := k.read()
	if _, missing := os.Stat(k.File); err != nil && !errors.Is(missing, os.ErrNotExist) {
		return "", err
	}
	fresh := key{id: randomHex(4), raw: make([]byte, keyBytes)}
	rand.Read(fresh.raw) //nolint:errcheck // never fails
	return fresh.id, k.write(append([]key{fresh}, keys...))
}

func randomHex(n int) string {
	raw := make([]byte, n)
	rand.Read(raw) //nolint:errcheck // never fails
	return hex.EncodeToString(raw)
}

// write replaces the file as a whole, or leaves it as it was.
func (k Keys) write(keys []key) (err error) {
	text := "# The first key seals, each opens what it has sealed. Who has this file and the\n# registry's data can read every private address. Keep a copy apart from both.\n"
	for _, one := range keys {
		text += fmt.Sprintf("%s %s %s\n", keyMark, one.id, base64.StdEncoding.EncodeToString(one.raw))
	}
	part, err := os.CreateTemp(filepath.Dir(k.File), ".keys-*") // only its owner can read it
	if err != nil {
		return &FileError{k.File, "cannot be written: " + filepath.Dir(k.File) + " takes no new file"}
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(part.Name()))
		}
	}()
	_, err = part.WriteString(text)
	if err = errors.Join(err, part.Sync(), part.Close()); err != nil {
		return err
	}
	return os.Rename(part.Name(), k.File)
}

// aead is the cipher of a key. It makes nonces by itself: of 96 random bits, which
// serve for 2^32 places.
func (one key) aead() cipher.AEAD {
	block, err := aes.NewCipher(one.raw)
	if err == nil {
		var a cipher.AEAD
		if a, err = cipher.NewGCMWithRandomNonce(block); err == nil {
			return a
		}
	}
	panic(err) // a key is 32 bytes long
}
