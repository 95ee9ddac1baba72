export * from "socket.io-client";
