# Builds the service; not tried on the machine it was written on, which runs no container engine.
FROM node:20-bookworm-slim AS build
WORKDIR /app
COPY package.json package-lock.json .npmrc prisma.config.ts ./
COPY prisma prisma
RUN npm ci
COPY . .
RUN npm run build

FROM node:20-bookworm-slim
WORKDIR /app
ENV NODE_ENV=production HOST=0.0.0.0 DATA_DIR=/data
COPY package.json package-lock.json .npmrc prisma.config.ts ./
COPY prisma prisma
RUN npm ci --omit=dev
COPY --from=build /app/dist dist
RUN mkdir /data && chown node /data
USER node
VOLUME /data
EXPOSE 8080
CMD ["node", "--max-semi-space-size=64", "dist/server/main.js"]
