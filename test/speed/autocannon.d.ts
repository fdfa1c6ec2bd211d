declare module "autocannon" {
  type Options = Readonly<{ url: string; connections: number; duration: number; workers?: number }>;
  type Result = Readonly<{
    duration: number;
    errors: number;
    non2xx: number;
    requests: Readonly<{ total: number }>;
  }>;
  export default function autocannon(options: Options): Promise<Result>;
}
