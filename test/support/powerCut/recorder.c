/*
 * Preloaded into a writing process: appends every change to files under RECORD_FOLDER to RECORD_LOG, in the order in
 * which the program made them, so that a power cut can be played back after any of them.
 *
 * A record is { uint32 kind, uint32 file, uint64 offset, uint64 length } and then, for names and writes, the bytes.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum kind { NAME, WRITE, SYNC, TRUNCATE, UNLINK };
enum { MOST_DESCRIPTORS = 4096, MOST_FILES = 512 };

struct record {
  uint32_t kind, file;
  uint64_t offset, length;
};

static int file_of[MOST_DESCRIPTORS];
static char *names[MOST_FILES];
static int files = 1;
static int log_descriptor = -1;
static const char *folder;
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

static int (*real_open)(const char *, int, ...);
static int (*real_close)(int);
static int (*real_fsync)(int);
static int (*real_fdatasync)(int);
static int (*real_ftruncate)(int, off64_t);
static int (*real_unlink)(const char *);
static ssize_t (*real_write)(int, const void *, size_t);
static ssize_t (*real_pwrite)(int, const void *, size_t, off64_t);

static void begin(void) {
  if (real_open) return;
  real_write = dlsym(RTLD_NEXT, "write");
  real_pwrite = dlsym(RTLD_NEXT, "pwrite64");
  real_fsync = dlsym(RTLD_NEXT, "fsync");
  real_fdatasync = dlsym(RTLD_NEXT, "fdatasync");
  real_ftruncate = dlsym(RTLD_NEXT, "ftruncate64");
  real_close = dlsym(RTLD_NEXT, "close");
  real_unlink = dlsym(RTLD_NEXT, "unlink");
  real_open = dlsym(RTLD_NEXT, "open64");
  folder = getenv("RECORD_FOLDER");
  const char *log = getenv("RECORD_LOG");
  if (folder && log) log_descriptor = real_open(log, O_WRONLY | O_CREAT | O_TRUNC | O_APPEND | O_CLOEXEC, 0644);
}

static void note(enum kind kind, int file, uint64_t offset, const void *bytes, uint64_t length) {
  struct record record = {kind, file, offset, bytes ? length : 0};
  if (real_write(log_descriptor, &record, sizeof record) < 0) abort();
  if (bytes && length && real_write(log_descriptor, bytes, length) < 0) abort();
}

static int file_named(const char *name) {
  for (int i = 1; i < files; i++)
    if (!strcmp(names[i], name)) return i;
  if (files == MOST_FILES) abort();
  names[files] = strdup(name);
  note(NAME, files, 0, name, strlen(name));
  return files++;
}

static int inside(const char *name) { return log_descriptor >= 0 && !strncmp(name, folder, strlen(folder)); }

static int recorded(int descriptor) {
  return descriptor >= 0 && descriptor < MOST_DESCRIPTORS && log_descriptor >= 0 ? file_of[descriptor] : 0;
}

static void opened(int descriptor, const char *path, int flags) {
  if (descriptor < 0 || descriptor >= MOST_DESCRIPTORS || log_descriptor < 0) return;
  char whole[PATH_MAX];
  const char *name = realpath(path, whole) ? whole : path;
  pthread_mutex_lock(&lock);
  file_of[descriptor] = inside(name) ? file_named(name) : 0;
  if (file_of[descriptor] && (flags & O_TRUNC)) note(TRUNCATE, file_of[descriptor], 0, NULL, 0);
  pthread_mutex_unlock(&lock);
}

#define OPENING(name)                              \
  int name(const char *path, int flags, ...) {     \
    begin();                                       \
    va_list rest;                                  \
    va_start(rest, flags);                         \
    int mode = va_arg(rest, int);                  \
    va_end(rest);                                  \
    int descriptor = real_open(path, flags, mode); \
    opened(descriptor, path, flags);               \
    return descriptor;                             \
  }
OPENING(open)
OPENING(open64)

int close(int descriptor) {
  begin();
  if (recorded(descriptor)) file_of[descriptor] = 0;
  return real_close(descriptor);
}

ssize_t pwrite64(int descriptor, const void *bytes, size_t length, off64_t offset) {
  begin();
  int file = recorded(descriptor);
  if (!file) return real_pwrite(descriptor, bytes, length, offset);
  pthread_mutex_lock(&lock);
  ssize_t written = real_pwrite(descriptor, bytes, length, offset);
  if (written > 0) note(WRITE, file, offset, bytes, written);
  pthread_mutex_unlock(&lock);
  return written;
}

ssize_t pwrite(int descriptor, const void *bytes, size_t length, off_t offset) {
  return pwrite64(descriptor, bytes, length, offset);
}

ssize_t write(int descriptor, const void *bytes, size_t length) {
  begin();
  int file = recorded(descriptor);
  if (!file) return real_write(descriptor, bytes, length);
  pthread_mutex_lock(&lock);
  ssize_t written = real_write(descriptor, bytes, length);
  if (written > 0) note(WRITE, file, lseek64(descriptor, 0, SEEK_CUR) - written, bytes, written);
  pthread_mutex_unlock(&lock);
  return written;
}

static int synced(int (*real)(int), int descriptor) {
  int file = recorded(descriptor);
  if (!file) return real(descriptor);
  pthread_mutex_lock(&lock);
  int failed = real(descriptor);
  if (!failed) note(SYNC, file, 0, NULL, 0);
  pthread_mutex_unlock(&lock);
  return failed;
}

int fsync(int descriptor) {
  begin();
  return synced(real_fsync, descriptor);
}

int fdatasync(int descriptor) {
  begin();
  return synced(real_fdatasync, descriptor);
}

int ftruncate64(int descriptor, off64_t length) {
  begin();
  int file = recorded(descriptor);
  int failed = real_ftruncate(descriptor, length);
  if (file && !failed) note(TRUNCATE, file, length, NULL, 0);
  return failed;
}

int ftruncate(int descriptor, off_t length) { return ftruncate64(descriptor, length); }

int unlink(const char *path) {
  begin();
  char whole[PATH_MAX];
  const char *name = realpath(path, whole) ? whole : path;
  char kept[PATH_MAX];
  strncpy(kept, name, sizeof kept - 1);
  kept[sizeof kept - 1] = 0;
  int failed = real_unlink(path);
  if (!failed && inside(kept)) note(UNLINK, file_named(kept), 0, NULL, 0);
  return failed;
}
