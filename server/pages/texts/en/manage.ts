export const manage = {} as const;
