/* Writes every address that a program connects or sends to, and every name it asks for, to the file named in
 * CONNECT_LOG; loaded before the C library. Sockets of the file system are left out: nothing leaves the machine by them. */
#define _GNU_SOURCE
#include <arpa/inet.h>
#include <dlfcn.h>
#include <fcntl.h>
#include <netdb.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

static void note(const char *what, const char *where) {
  const char *log = getenv("CONNECT_LOG");
  if (!log) return;
  int file = open(log, O_WRONLY | O_CREAT | O_APPEND, 0600);
  if (file < 0) return;
  char line[512];
  int length = snprintf(line, sizeof line, "%s %s\n", what, where);
  if (write(file, line, (size_t)length) < 0) abort();
  close(file);
}

static void note_address(const char *what, const struct sockaddr *address) {
  char text[INET6_ADDRSTRLEN] = "?";
  if (!address) return;
  if (address->sa_family == AF_INET)
    inet_ntop(AF_INET, &((const struct sockaddr_in *)address)->sin_addr, text, sizeof text);
  else if (address->sa_family == AF_INET6)
    inet_ntop(AF_INET6, &((const struct sockaddr_in6 *)address)->sin6_addr, text, sizeof text);
  else
    return;
  note(what, text);
}

int connect(int socket, const struct sockaddr *address, socklen_t length) {
  static int (*real)(int, const struct sockaddr *, socklen_t);
  if (!real) real = dlsym(RTLD_NEXT, "connect");
  note_address("connect", address);
  return real(socket, address, length);
}

ssize_t sendto(int socket, const void *bytes, size_t size, int flags, const struct sockaddr *to, socklen_t length) {
  static ssize_t (*real)(int, const void *, size_t, int, const struct sockaddr *, socklen_t);
  if (!real) real = dlsym(RTLD_NEXT, "sendto");
  note_address("sendto", to);
  return real(socket, bytes, size, flags, to, length);
}

ssize_t sendmsg(int socket, const struct msghdr *message, int flags) {
  static ssize_t (*real)(int, const struct msghdr *, int);
  if (!real) real = dlsym(RTLD_NEXT, "sendmsg");
  if (message) note_address("sendmsg", message->msg_name);
  return real(socket, message, flags);
}

int getaddrinfo(const char *name, const char *service, const struct addrinfo *hints, struct addrinfo **found) {
  static int (*real)(const char *, const char *, const struct addrinfo *, struct addrinfo **);
  if (!real) real = dlsym(RTLD_NEXT, "getaddrinfo");
  note("getaddrinfo", name ? name : "(none)");
  return real(name, service, hints, found);
}
